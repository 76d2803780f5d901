import {
  dateOfDay,
  type Instant,
  isoWeekday,
  MS_PER_DAY,
  type PlainDate,
} from "../calendar/plain-date.ts";
import { atHour, dateAt, startOfDay } from "../calendar/zone.ts";
import type { Preferences } from "./preferences.ts";

/** Zone arithmetic takes 10 to 30 us, and members of one zone share their hours. */
const REMEMBERED = 20_000;
const hours = new Map<string, Instant | null>();

/**
 * The first instant at or after the given one at which the member's clocks show the sending hour,
 * on a day that is not quiet; at most one a day. Where the clocks skip the hour it is as much later
 * as they jump; where they show it twice the first time counts; a date that has no such moment
 * (skipped as a whole, or its last hour skipped) is passed over. All seven days quiet is refused
 * where preferences are set; here it counts as none quiet.
 */
export function nextSendingHour(
  atOrAfter: Instant,
  { sendingHour, quietDays, zone }: Pick<Preferences, "sendingHour" | "quietDays" | "zone">,
): Instant {
  const anyDay = [1, 2, 3, 4, 5, 6, 7].every((day) => quietDays.includes(day));
  for (let day = Math.floor(atOrAfter / MS_PER_DAY) - 1; ; day += 1) {
    const date = dateOfDay(day);
    if (!anyDay && quietDays.includes(isoWeekday(date))) continue;
    const instant = sendingHourOn(date, sendingHour, zone);
    if (instant !== null && instant >= atOrAfter) return instant;
  }
}

/** The first instant of the date in the zone. */
export function startOf(date: PlainDate, zone: string): Instant {
  return startOfDay(date, zone);
}

function sendingHourOn(date: PlainDate, hour: number, zone: string): Instant | null {
  return remembered(`${date} ${hour} ${zone}`, () => {
    const instant = atHour(date, hour, zone);
    return dateAt(instant, zone) === date ? instant : null;
  });
}

function remembered(key: string, work: () => Instant | null): Instant | null {
  const known = hours.get(key);
  if (known !== undefined) return known;
  const fresh = work();
  if (hours.size >= REMEMBERED) hours.clear();
  hours.set(key, fresh);
  return fresh;
}
