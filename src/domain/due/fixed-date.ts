import { addDays, daysBetween, type PlainDate } from "../calendar/plain-date.ts";
import {
  datePointAt,
  firstUncoveredDate,
  intervalsSurelyBefore,
  type MonthInterval,
} from "./date-point.ts";
import type { LimitPoint } from "./limit-point.ts";

/** A printed date, its repeat, and the day on which the work was last done, if known. */
export interface FixedDates {
  on: PlainDate;
  repeat: MonthInterval;
  doneOn: PlainDate | null;
}

/**
 * The date in force today: of the dates that no work covers the one nearest to today, the later of
 * two equally near. A date that nobody logged so stays overdue for half a period and then gives way
 * to the next, which is told whether or not the missed one was ever logged.
 */
export function fixedDateInForce(dates: FixedDates, today: PlainDate): LimitPoint<PlainDate> {
  return datePointAt(dates.on, countInForce(dates, today), dates.repeat);
}

/**
 * The day on which `fixedDateInForce` moves on to the next date if no work is logged until then:
 * what is planned ahead has to be planned again from that day on.
 */
export function fixedDateMovesOn(dates: FixedDates, today: PlainDate): PlainDate {
  const count = countInForce(dates, today);
  const inForce = datePointAt(dates.on, count, dates.repeat).at;
  const next = datePointAt(dates.on, count + 1, dates.repeat).at;
  return addDays(inForce, Math.ceil(daysBetween(inForce, next) / 2));
}

function countInForce({ on, repeat, doneOn }: FixedDates, today: PlainDate): number {
  const uncovered = firstUncoveredDate(on, doneOn, repeat, 0);
  let count = Math.max(uncovered, intervalsSurelyBefore(on, today, repeat));
  for (;;) {
    const at = datePointAt(on, count, repeat).at;
    const next = datePointAt(on, count + 1, repeat).at;
    if (daysBetween(at, today) < daysBetween(today, next)) return count;
    count++;
  }
}
