import { addDays, addMonths, daysBetween, type PlainDate } from "./plain-date.ts";

/**
 * Adds months of which a part may be a fraction (a severe-use factor makes such); negative counts
 * go back. Whole months are added on the calendar with end-of-month clamping; the fraction is that
 * share of the days of the month which follows, rounded to a day. More months never give an
 * earlier date.
 */
export function addMonthsAndPart(date: PlainDate, months: number): PlainDate {
  const whole = Math.trunc(months);
  const reached = addMonths(date, whole);
  const part = Math.abs(months - whole);
  if (part === 0) return reached;
  const next = addMonths(date, whole + Math.sign(months));
  return addDays(
    reached,
    Math.round(part * Math.abs(daysBetween(reached, next))) * Math.sign(months),
  );
}

/** Calendar months from the month of the first date to the month of the second, days ignored. */
export function monthsApart(from: PlainDate, to: PlainDate): number {
  const years = Number(to.slice(0, 4)) - Number(from.slice(0, 4));
  return years * 12 + Number(to.slice(5, 7)) - Number(from.slice(5, 7));
}
