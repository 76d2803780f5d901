import type { PlainDate } from "../../src/domain/calendar/plain-date.ts";
import { lastDay } from "../../src/render/season.ts";

const MONTHS =
  "January February March April May June July August September October November December".split(
    " ",
  );
const SOUTHERN = { spring: 9, summer: 12, autumn: 3, winter: 6 };
const NORTHERN = { spring: 3, summer: 6, autumn: 9, winter: 12 };

/** Reads English dates back, so that what a sentence tells can be held against what is known. */
export interface Heard {
  first: PlainDate;
  last: PlainDate;
}

/**
 * The days that "20 May", "May 2027", "winter 2026/27", "autumn", "2029" or "the end of May 2027"
 * stand for. What a first end leaves out ("12" of "12 and 30 May 2027") is taken from `after`.
 */
export function hear(text: string, today: PlainDate, south: boolean, after?: string): Heard {
  const words = text.replace(/^the end of /, "");
  const year = yearIn(words) ?? yearIn(after ?? "") ?? Number(today.slice(0, 4));
  const season = /^(spring|summer|autumn|winter)/.exec(words)?.[1];
  if (season) {
    const first = (south ? SOUTHERN : NORTHERN)[season as keyof typeof NORTHERN];
    if (yearIn(words) !== undefined) return months(year, first, 3);
    const coming = [0, 1].map((more) => months(Number(today.slice(0, 4)) + more, first, 3));
    return coming.find((one) => one.first > today) as Heard;
  }
  if (/^\d{4}$/.test(words)) return { first: `${words}-01-01`, last: `${words}-12-31` };
  const monthIn = (some: string) => MONTHS.findIndex((name) => some.includes(name)) + 1;
  const month = monthIn(words) || monthIn(after ?? "");
  if (month === 0) throw new Error(`no date that can be read: ${text}`);
  const day = /^(\d{1,2})(?!\d)/.exec(words)?.[1];
  if (!day) return months(year, month, 1);
  const date = `${year}-${pad(month)}-${day.padStart(2, "0")}`;
  return { first: date, last: date };
}

function yearIn(text: string): number | undefined {
  const year = /\b(\d{4})\b/.exec(text)?.[1];
  return year === undefined ? undefined : Number(year);
}

function months(year: number, first: number, count: number): Heard {
  const end = first + count - 1;
  const last = lastDay(year + (end > 12 ? 1 : 0), end > 12 ? end - 12 : end);
  return { first: `${year}-${pad(first)}-01`, last };
}

function pad(value: number): string {
  return String(value).padStart(2, "0");
}
