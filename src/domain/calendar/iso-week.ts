import { addDays, dayNumber, isoWeekday, type PlainDate } from "./plain-date.ts";

/** A date told as ISO 8601 counts weeks: `weekday` 1 is Monday, `year` is the week's own year. */
export interface IsoWeekDate {
  year: number;
  week: number;
  weekday: number;
}

/** The ISO 8601 week of the date: weeks begin on Monday and belong to the year of their Thursday. */
export function isoWeekDate(date: PlainDate): IsoWeekDate {
  const weekday = isoWeekday(date);
  const thursday = addDays(date, 4 - weekday);
  const firstOfYear = dayNumber(`${thursday.slice(0, 4)}-01-01`);
  return {
    year: Number(thursday.slice(0, 4)),
    week: Math.floor((dayNumber(thursday) - firstOfYear) / 7) + 1,
    weekday,
  };
}

/** The Monday of week 1 of the ISO year: the week that holds 4 January. */
export function isoYearStart(year: number): PlainDate {
  const fourth = `${String(year).padStart(4, "0")}-01-04`;
  return addDays(fourth, 1 - isoWeekday(fourth));
}

/** How many ISO weeks the year has: 52 or 53. */
export function isoWeeksIn(year: number): number {
  return (dayNumber(isoYearStart(year + 1)) - dayNumber(isoYearStart(year))) / 7;
}
