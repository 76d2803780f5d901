/** A calendar date without time or zone, written `YYYY-MM-DD`; two of them compare as strings. */
export type PlainDate = string;

/** A point in time: milliseconds since 1970-01-01T00:00:00Z. */
export type Instant = number;

export const MS_PER_DAY = 86_400_000;

const FIRST_DATE = "0001-01-01";
export const LAST_DATE = "9999-12-31";

/** Whether the text is a date that exists, in years 0001 to 9999. */
export function isPlainDate(text: string): boolean {
  if (!/^\d{4}-\d{2}-\d{2}$/.test(text)) return false;
  const [year, month, day] = partsOf(text);
  return year >= 1 && month >= 1 && month <= 12 && day >= 1 && day <= daysIn(year, month);
}

/**
 * Adds calendar months and clamps to the end of the month (31 January + 1 month is 28 or 29
 * February), as W3C XML Schema Part 2 (2004), appendix E, adds a duration to a date.
 * Always count from the anchor: adding one month twice is not adding two. Months are whole
 * (RangeError otherwise); a negative count goes back. A date beyond the years 0001 to 9999 is
 * taken as their first or last day.
 *
 * Written out because every due point of every machine asks for it at each reading: a calendar
 * library takes ten times as long.
 */
export function addMonths(date: PlainDate, months: number): PlainDate {
  if (!Number.isInteger(months)) throw new RangeError(`not whole months: ${months}`);
  const [year, month, day] = partsOf(date);
  const monthsSinceYear0 = year * 12 + month - 1 + months;
  const toYear = Math.floor(monthsSinceYear0 / 12);
  if (toYear < 1) return FIRST_DATE;
  if (toYear > 9999) return LAST_DATE;
  const toMonth = monthsSinceYear0 - toYear * 12 + 1;
  const toDay = Math.min(day, daysIn(toYear, toMonth));
  return `${padded(toYear, 4)}-${padded(toMonth, 2)}-${padded(toDay, 2)}`;
}

/** Adds whole days; a negative count goes back. */
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

const FIRST_DAY = dayNumber(FIRST_DATE);
const LAST_DAY = dayNumber(LAST_DATE);

/**
 * The date that lies `day` days after 1970-01-01; a fraction of a day is dropped. A date beyond the
 * years 0001 to 9999 is taken as their first or last day.
 */
export function dateOfDay(day: number): PlainDate {
  const within = Math.min(Math.max(Math.floor(day), FIRST_DAY), LAST_DAY);
  return new Date(within * MS_PER_DAY).toISOString().slice(0, 10);
}

/** Day of the week by ISO 8601: 1 is Monday, 7 is Sunday. */
export function isoWeekday(date: PlainDate): number {
  return ((((dayNumber(date) + 3) % 7) + 7) % 7) + 1;
}

function partsOf(date: PlainDate): [year: number, month: number, day: number] {
  return [Number(date.slice(0, 4)), Number(date.slice(5, 7)), Number(date.slice(8, 10))];
}

function daysIn(year: number, month: number): number {
  if (month === 2) return year % 4 === 0 && (year % 100 !== 0 || year % 400 === 0) ? 29 : 28;
  return month === 4 || month === 6 || month === 9 || month === 11 ? 30 : 31;
}

function padded(value: number, digits: number): string {
  return String(value).padStart(digits, "0");
}
