import { addMonths, type PlainDate } from "../domain/calendar/plain-date.ts";
import { type Hemisphere, seasonAt } from "./season.ts";
import type { ToldDate } from "./told-range.ts";
import type { Grain, Wording } from "./wording.ts";

/** What a date is told in: the reader's day, and the seasons of where the reader lives. */
export interface Reader {
  today: PlainDate;
  hemisphere: Hemisphere | null;
}

/** A date that is known: "1 May", with its year where that is not this one. */
export function oneDate(words: Wording, date: PlainDate, today: PlainDate): string {
  return words.date(date, dayGrain([date], today));
}

/** The period that a date is told as: "20 May", "May 2026", "winter 2026/27", "2029". */
export function period(words: Wording, { date, fineness }: ToldDate, reader: Reader): string {
  if (fineness === "day") return oneDate(words, date, reader.today);
  if (fineness === "season" && reader.hemisphere) {
    const { name, from, to } = seasonAt(date, reader.hemisphere);
    const season = words.say(`season.${name}`);
    const [year, next] = [from.slice(0, 4), to.slice(0, 4)];
    if (year === next) return words.say("season.inYear", { season, year });
    return words.say("season.overYears", { season, year, next: next.slice(2) });
  }
  return words.date(date, fineness === "year" ? "year" : "month");
}

/** The start of a range: a season by its name alone where only one can be meant. */
export function start(words: Wording, told: ToldDate, reader: Reader): string {
  const { today, hemisphere } = reader;
  if (told.fineness !== "season" || !hemisphere) return period(words, told, reader);
  const { name, from } = seasonAt(told.date, hemisphere);
  const clear = name !== seasonAt(today, hemisphere).name && from <= addMonths(today, 9);
  return clear ? words.say(`season.${name}`) : period(words, told, reader);
}

/** The end of a range, its last day counted in: "30 May", "the end of May 2026". */
export function end(words: Wording, told: ToldDate, reader: Reader): string {
  const text = period(words, told, reader);
  return told.fineness === "day" ? text : words.say("date.endOf", { period: text });
}

/** Both ends of a range: "12" and "30 May"; "summer 2026" and "winter 2026/27". */
export function ends(
  words: Wording,
  from: ToldDate,
  to: ToldDate,
  reader: Reader,
): [from: string, to: string] {
  if (from.fineness === "season") return [period(words, from, reader), period(words, to, reader)];
  const grain = from.fineness === "day" ? dayGrain([from.date, to.date], reader.today) : "month";
  return words.ends(from.date, to.date, grain);
}

/** Days bear their year wherever one of them is not in this one. */
export function dayGrain(
  dates: readonly PlainDate[],
  today: PlainDate,
): Grain & ("day" | "dayYear") {
  return dates.every((date) => date.startsWith(today.slice(0, 4))) ? "day" : "dayYear";
}
