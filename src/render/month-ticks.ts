import {
  addMonths,
  daysBetween,
  LAST_DATE,
  type PlainDate,
} from "../domain/calendar/plain-date.ts";
import type { Wording } from "./wording.ts";

const MOST_TICKS = 5;

/** The firsts of months between two dates, every one or every few: as many as a narrow axis bears. */
export function monthTicks(start: PlainDate, end: PlainDate): PlainDate[] {
  const wanted = daysBetween(start, end) / 30 / MOST_TICKS;
  const step = [1, 2, 3, 6, 12, 24, 60].find((many) => many >= wanted) ?? decades(wanted);
  const first = `${start.slice(0, 4)}-01-01`;
  const ticks: PlainDate[] = [];
  for (let count = 0; ; count += step) {
    const date = addMonths(first, count);
    // Dates end with the year 9999: whatever lies beyond is told as its last day, again and again.
    if (date > end || date === LAST_DATE) return ticks;
    if (date >= start) ticks.push(date);
  }
}

function decades(months: number): number {
  return Math.ceil(months / 120) * 120;
}

/** "May", the year in January's place, and once beside the first month of an axis without one. */
export function tickLabel(words: Wording, date: PlainDate, all: readonly PlainDate[]): string {
  const isJanuary = (one: PlainDate) => one.slice(5, 7) === "01";
  if (isJanuary(date)) return words.date(date, "year");
  return words.date(date, date === all[0] && !all.some(isJanuary) ? "shortMonth" : "tick");
}
