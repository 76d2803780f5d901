import { addMonths, type PlainDate } from "../domain/calendar/plain-date.ts";
import { type Hemisphere, seasonAt } from "./season.ts";
import type { ToldDate } from "./told-range.ts";
import type { Grain, Wording } from "./wording.ts";

/** What a date is told in: the reader's day, and the seasons of where the reader lives. */
export interface Reader {
  today: PlainDate;
  hemisphere: Hemisphere | null;
}

/**
 * The place in a sentence that a date stands in. Languages put a preposition, an article or a case
 * of its own there, another for a day than for a month; the catalogue knows which.
 */
export type Role = "between" | "before" | "by" | "on" | "around" | "asLateAs";

/** A date that is known: "1 May", with its year where that is not this one. */
export function oneDate(words: Wording, date: PlainDate, today: PlainDate): string {
  return words.date(date, dayGrain([date], today));
}

/** The period that a date is told as: "20 May", "May 2026", "winter 2026/27", "2029". */
export function period(
  words: Wording,
  { date, fineness }: ToldDate,
  role: Role,
  { today, hemisphere }: Reader,
): string {
  if (fineness === "day") return dayIn(words, role, oneDate(words, date, today));
  if (fineness === "season" && hemisphere) {
    const { name, from, to } = seasonAt(date, hemisphere);
    const season = words.say(`season.${name}`, { role });
    const [year, next] = [from.slice(0, 4), to.slice(0, 4)];
    if (year === next) return words.say("season.inYear", { season, year });
    return words.say("season.overYears", { season, year, next: next.slice(2) });
  }
  if (fineness === "year") return words.say("told.year", { role, date: words.date(date, "year") });
  return words.say("told.month", { role, date: words.date(date, "month") });
}

/** A day that is written already, in its place: "20 May", "around 20 May". */
export function dayIn(words: Wording, role: Role, date: string): string {
  return words.say("told.day", { role, date });
}

/** The start of an open range: a season by its name alone where only one can be meant. */
export function start(words: Wording, told: ToldDate, reader: Reader): string {
  const { today, hemisphere } = reader;
  if (told.fineness !== "season" || !hemisphere) return period(words, told, "before", reader);
  const { name, from } = seasonAt(told.date, hemisphere);
  const clear = name !== seasonAt(today, hemisphere).name && from <= addMonths(today, 9);
  return clear
    ? words.say(`season.${name}`, { role: "before" })
    : period(words, told, "before", reader);
}

/** The end of a range, its last day counted in: "30 May", "the end of May 2026". */
export function end(words: Wording, told: ToldDate, reader: Reader): string {
  return period(words, told, "by", reader);
}

/** Both ends of a range: "12" and "30 May"; "summer 2026" and "winter 2026/27". */
export function ends(
  words: Wording,
  from: ToldDate,
  to: ToldDate,
  reader: Reader,
): [from: string, to: string] {
  const role = "between";
  if (from.fineness === "season") {
    return [period(words, from, role, reader), period(words, to, role, reader)];
  }
  if (from.fineness === "day") {
    const [first, last] = words.ends(
      from.date,
      to.date,
      dayGrain([from.date, to.date], reader.today),
    );
    return [dayIn(words, role, first), dayIn(words, role, last)];
  }
  const [first, last] = words.ends(from.date, to.date, "month");
  return [first, last].map((date) => words.say("told.month", { role, date })) as [string, string];
}

/** Days bear their year wherever one of them is not in this one. */
export function dayGrain(
  dates: readonly PlainDate[],
  today: PlainDate,
): Grain & ("day" | "dayYear") {
  return dates.every((date) => date.startsWith(today.slice(0, 4))) ? "day" : "dayYear";
}
