import type { PlainDate } from "../domain/calendar/plain-date.ts";

/** Dates of one fineness, as one language writes them. */
export interface DateWriter {
  /** "12 May". */
  one(date: PlainDate): string;
  /** "12–30 May". */
  span(from: PlainDate, to: PlainDate): string;
  /** Both ends as they stand in a range: "12" and "30 May". */
  ends(from: PlainDate, to: PlainDate): [from: string, to: string];
}

type Part = Intl.DateTimeFormatPart;
type RangePart = Intl.DateTimeRangeFormatPart;

const DASH = /\s*[-–—]\s*/u;

/** `dayOf` is how the language writes the number of a day: French says "1er". */
export function dateWriter(
  locale: string,
  options: Intl.DateTimeFormatOptions,
  dayOf: (day: number) => string,
): DateWriter {
  const format = new Intl.DateTimeFormat(locale, { ...options, timeZone: "UTC" });
  const textOf = (parts: readonly Part[]) =>
    parts.map(({ type, value }) => (type === "day" ? dayOf(Number(value)) : value)).join("");
  const partsOf = (date: PlainDate) => format.formatToParts(utc(date));
  const one = (date: PlainDate) => textOf(partsOf(date));
  const range = (from: PlainDate, to: PlainDate) => {
    const parts = format.formatRangeToParts(utc(from), utc(to));
    return isSound(parts, [...partsOf(from), ...partsOf(to)]) ? parts : null;
  };
  return {
    one,
    span(from, to) {
      const [first, last] = [one(from), one(to)];
      if (first === last) return first;
      const apart = `${first} – ${last}`;
      const parts = range(from, to);
      const together = parts ? textOf(parts) : apart;
      return together.length <= apart.length ? together : apart;
    },
    ends(from, to) {
      const parts = range(from, to);
      if (!parts) return [one(from), one(to)];
      const dash = parts.findIndex(({ source }) => source === "endRange") - 1;
      const [before = "", after = ""] = (parts[dash] as RangePart).value.split(DASH);
      return [textOf(parts.slice(0, dash)) + before, after + textOf(parts.slice(dash + 1))];
    },
  };
}

/**
 * Whether a range is two dates around a dash, its months written as in the dates alone: the data of
 * some regions join them by words, or fall into figures.
 */
function isSound(range: readonly RangePart[], alone: readonly Part[]): boolean {
  const monthsOf = (parts: readonly Part[]) =>
    parts.filter(({ type }) => type === "month").map(({ value }) => value);
  const months = new Set(monthsOf(alone));
  const dash = range[range.findIndex(({ source }) => source === "endRange") - 1];
  return dash !== undefined && DASH.test(dash.value) && monthsOf(range).every((m) => months.has(m));
}

function utc(date: PlainDate): Date {
  return new Date(`${date}T00:00:00Z`);
}
