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

/** "May", and the year in January's place where an axis spans several. */
export function tickLabel(words: Wording, date: PlainDate, all: readonly PlainDate[]): string {
  const years = new Set(all.map((one) => one.slice(0, 4)));
  return words.date(date, years.size > 1 && date.slice(5, 7) === "01" ? "year" : "tick");
}
