import { addMonths, daysBetween, type PlainDate } from "../domain/calendar/plain-date.ts";
import type { Wording } from "./wording.ts";

const MOST_TICKS = 5;

/** The firsts of months between two dates, every one or every few: as many as a narrow axis bears. */
export function monthTicks(start: PlainDate, end: PlainDate): PlainDate[] {
  const months = daysBetween(start, end) / 30;
  const step = [1, 2, 3, 6, 12, 24, 60].find((many) => months / many <= MOST_TICKS) ?? 120;
  const first = `${start.slice(0, 4)}-01-01`;
  const ticks: PlainDate[] = [];
  for (let count = 0; ; count += step) {
    const date = addMonths(first, count);
    if (date > end) return ticks;
    if (date >= start) ticks.push(date);
  }
}

/** "May", the year in January's place, and once beside the first month of an axis without one. */
export function tickLabel(words: Wording, date: PlainDate, all: readonly PlainDate[]): string {
  const isJanuary = (one: PlainDate) => one.slice(5, 7) === "01";
  if (isJanuary(date)) return words.date(date, "year");
  return words.date(date, date === all[0] && !all.some(isJanuary) ? "shortMonth" : "tick");
}
