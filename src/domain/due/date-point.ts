import { addMonthsAndPart, monthsApart } from "../calendar/part-month.ts";
import { addDays, daysBetween, LAST_DATE, type PlainDate } from "../calendar/plain-date.ts";
import { type LimitPoint, USUAL_WINDOW_PARTS } from "./limit-point.ts";

/** A limit counted on the calendar, in months, of which a part may be a fraction; above 0. */
export interface MonthInterval {
  months: number;
  early: number | undefined;
  late: number | undefined;
}

/** The date one interval after the date at which counting starts. */
export function datePointFrom(start: PlainDate, interval: MonthInterval): LimitPoint<PlainDate> {
  return withWindow(start, addMonthsAndPart(start, interval.months), interval);
}

/**
 * The date `count` intervals after the anchor. Always counted from the anchor, so that a month's
 * end is not lost on the way; the usual window is a share of the days since the date before it.
 */
export function datePointAt(
  anchor: PlainDate,
  count: number,
  interval: MonthInterval,
): LimitPoint<PlainDate> {
  const before = addMonthsAndPart(anchor, (count - 1) * interval.months);
  return withWindow(before, addMonthsAndPart(anchor, count * interval.months), interval);
}

/**
 * How many intervals after the anchor the first date lies that work on `doneOn` does not cover,
 * `least` or more: work covers every date up to its own plus `early`. `null`: never done.
 */
export function firstUncoveredDate(
  anchor: PlainDate,
  doneOn: PlainDate | null,
  interval: MonthInterval,
  least: number,
): number {
  if (doneOn === null) return least;
  let count = Math.max(least, intervalsSurelyBefore(anchor, doneOn, interval));
  for (;;) {
    const { at, early } = datePointAt(anchor, count, interval);
    // No date lies behind the last one.
    if (early > doneOn || at === LAST_DATE) return count;
    count++;
  }
}

/** A count of intervals whose date is not after `date`; at most about a month and one interval low. */
export function intervalsSurelyBefore(
  anchor: PlainDate,
  date: PlainDate,
  interval: MonthInterval,
): number {
  return Math.floor((monthsApart(anchor, date) - 1) / interval.months);
}

function withWindow(
  start: PlainDate,
  at: PlainDate,
  interval: MonthInterval,
): LimitPoint<PlainDate> {
  const usual = Math.round(daysBetween(start, at) / USUAL_WINDOW_PARTS);
  return {
    at,
    early:
      interval.early === undefined ? addDays(at, -usual) : addMonthsAndPart(at, -interval.early),
    late: interval.late === undefined ? addDays(at, usual) : addMonthsAndPart(at, interval.late),
  };
}
