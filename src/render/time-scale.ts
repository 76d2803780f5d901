import type { LikelyDates } from "../application/views.ts";
import { addDays, daysBetween, type PlainDate } from "../domain/calendar/plain-date.ts";
import { monthTicks } from "./month-ticks.ts";
import { toldRange } from "./told-range.ts";

/** Where things lie on a time scale: shares of its length, 0 at the left end, 1 at the right. */
export interface TimeScale {
  today: number;
  outer: [from: number, to: number];
  /** Absent where the quartiles are not known. */
  inner: [from: number, to: number] | null;
  most: number;
  dates: { from: PlainDate; to: PlainDate; most: PlainDate };
  /** How fine the dates are told: never finer than in the sentence. */
  grain: "day" | "shortMonth";
  /** The first of each month, or of some months, that lies on the scale. */
  ticks: Array<{ date: PlainDate; share: number }>;
}

/** The scale of a likely date; null where the sentence above it tells no range with two ends. */
export function timeScale(likely: LikelyDates | undefined, today: PlainDate): TimeScale | null {
  if (!likely?.from || !likely.to || !likely.most) return null;
  const { from, to, most, innerFrom, innerTo } = likely;
  const told = toldRange(likely, today, null);
  if (told.kind !== "between" && told.kind !== "perhapsReached") return null;
  const length = daysBetween(today, to);
  const margin = Math.max(2, Math.round(length * 0.12));
  const [start, end] = [addDays(today, -Math.ceil(margin / 2)), addDays(to, margin)];
  const whole = daysBetween(start, end);
  const share = (date: PlainDate) => Math.min(1, Math.max(0, daysBetween(start, date) / whole));
  // What lies before today is over: the band begins with today at the earliest.
  const later = (date: PlainDate) => (date < today ? today : date);
  return {
    today: share(today),
    outer: [share(later(from)), share(to)],
    inner: innerFrom && innerTo ? [share(later(innerFrom)), share(later(innerTo))] : null,
    most: share(most),
    dates: { from: later(from), to, most },
    grain: told.to.fineness === "day" ? "day" : "shortMonth",
    ticks: monthTicks(start, end).map((date) => ({ date, share: share(date) })),
  };
}
