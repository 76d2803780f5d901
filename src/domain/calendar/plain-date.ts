import { Temporal } from "temporal-polyfill";

/** A calendar date without time or zone, written `YYYY-MM-DD`; two of them compare as strings. */
export type PlainDate = string;

/** A point in time: milliseconds since 1970-01-01T00:00:00Z. */
export type Instant = number;

export const MS_PER_DAY = 86_400_000;

/** Whether the text is a date that exists, in years 0001 to 9999. */
export function isPlainDate(text: string): boolean {
  if (!/^\d{4}-\d{2}-\d{2}$/.test(text) || text.startsWith("0000")) return false;
  try {
    Temporal.PlainDate.from(text, { overflow: "reject" });
    return true;
  } catch {
    return false;
  }
}

/**
 * Adds calendar months and clamps to the end of the month (31 January + 1 month is 28 or 29
 * February), as W3C XML Schema Part 2 (2004), appendix E, adds a duration to a date.
 * Always count from the anchor: adding one month twice is not adding two.
 */
export function addMonths(date: PlainDate, months: number): PlainDate {
  return Temporal.PlainDate.from(date).add({ months }, { overflow: "constrain" }).toString();
}

export function addDays(date: PlainDate, days: number): PlainDate {
  return dateOfDay(dayNumber(date) + days);
}

/** Whole days from the first date to the second; negative when the second lies before it. */
export function daysBetween(from: PlainDate, to: PlainDate): number {
  return dayNumber(to) - dayNumber(from);
}

/** Days from 1970-01-01 to the date, a whole number. */
export function dayNumber(date: PlainDate): number {
  return Date.parse(`${date}T00:00:00Z`) / MS_PER_DAY;
}

/** The date that lies `day` days after 1970-01-01; a fraction of a day is dropped. */
export function dateOfDay(day: number): PlainDate {
  return new Date(Math.floor(day) * MS_PER_DAY).toISOString().slice(0, 10);
}

/** Day of the week by ISO 8601: 1 is Monday, 7 is Sunday. */
export function isoWeekday(date: PlainDate): number {
  return ((((dayNumber(date) + 3) % 7) + 7) % 7) + 1;
}
