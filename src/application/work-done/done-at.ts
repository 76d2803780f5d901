import type { Instant, PlainDate } from "../../domain/calendar/plain-date.ts";
import { dateAt, noonOf } from "../../domain/calendar/zone.ts";
import { refuseField } from "../../domain/failure/failure.ts";
import { futureFault } from "../../domain/meter/future-fault.ts";

export interface DoneAt {
  doneAt: Instant;
  doneOn: PlainDate;
}

/**
 * When work was done, from an instant or a plain date. A date without a time is put at noon of the
 * member's day, and never later than now.
 */
export function resolveDoneAt(given: Instant | PlainDate, now: Instant, zone: string): DoneAt {
  if (typeof given === "number") {
    if (futureFault(given, now)) throw refuseField("#/doneAt", "must not lie in the future");
    return { doneAt: given, doneOn: dateAt(given, zone) };
  }
  if (given > dateAt(now, zone)) {
    throw refuseField("#/doneAt", `must not lie after today, ${dateAt(now, zone)}`);
  }
  return { doneAt: Math.min(noonOf(given, zone), now), doneOn: given };
}
