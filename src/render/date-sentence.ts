import type { LikelyDates, ReminderItemView } from "../application/views.ts";
import type { PlainDate } from "../domain/calendar/plain-date.ts";
import { amount, type MeterUnit } from "./figures.ts";
import { seasonsOf } from "./season.ts";
import {
  dayGrain,
  dayIn,
  end,
  ends,
  oneDate,
  period,
  type Reader,
  type Role,
  start,
} from "./told-date.ts";
import { type ToldDate, type ToldRange, toldRange } from "./told-range.ts";
import type { Grain, Wording } from "./wording.ts";

/** What is asked about a due point: when it is reached, or whether it was. */
export interface DueQuestion {
  item: Pick<ReminderItemView, "byRule" | "due" | "likely" | "reachedBy">;
  today: PlainDate;
  meterUnit: MeterUnit;
  /** Where the reader lives; without it no season is named. */
  zone?: string;
}

/** "Between 12 and 30 May, most likely 20 May." A range that never promises more than is known. */
export function dateSentence(words: Wording, question: DueQuestion): string {
  const { item, today, zone } = question;
  return reachedSentence(words, question) ?? likelySentence(words, item.likely, today, zone);
}

/** The same for a due point that nothing but the forecast tells of. */
export function likelySentence(
  words: Wording,
  likely: LikelyDates | undefined,
  today: PlainDate,
  zone?: string,
): string {
  const reader = readerOf(today, zone);
  const told = toldRange(likely, today, reader.hemisphere);
  switch (told.kind) {
    case "cannotTell":
      return cannotTell(words, told.most, reader);
    case "on":
      return words.say("date.on", { date: oneDate(words, told.date, today) });
    case "probablyReached":
      return words.say("date.probablyReached", { to: end(words, told.to, reader) });
    case "perhapsReached":
      return perhapsReached(words, told, reader);
    case "between":
      return between(words, told, reader);
    case "notBefore": {
      const from = start(words, told.from, reader);
      if (!told.to) return words.say("date.notBefore", { from });
      return words.say("date.notBeforeUntil", {
        from,
        to: period(words, told.to, "asLateAs", reader),
      });
    }
    default:
      return words.say(`date.${told.kind}`);
  }
}

/** The same in a few words for a subject line: "between 12 and 30 May". */
export function dateInShort(words: Wording, { item, today, zone }: DueQuestion): string {
  const { likely, due, byRule, reachedBy } = item;
  if (byRule === "date" && due.date !== undefined && reachedBy === "calendar") {
    if (due.date === today) return words.say("short.today");
    return words.say("short.since", { date: oneDate(words, due.date, today) });
  }
  if (reachedBy === "reading" || reachedBy === "calendar") return words.say("short.reached");
  return likelyInShort(words, likely, today, zone);
}

/** A range in a few words, where only the forecast tells. */
export function likelyInShort(
  words: Wording,
  likely: LikelyDates | undefined,
  today: PlainDate,
  zone?: string,
): string {
  const reader = readerOf(today, zone);
  const told = toldRange(likely, today, reader.hemisphere);
  switch (told.kind) {
    case "cannotTell": {
      if (!told.most) return words.say("short.cannotTell");
      if (told.most.date <= today) return words.say("short.cannotTellReached");
      return words.say("short.cannotTellBy", { most: end(words, told.most, reader) });
    }
    case "on":
      return words.say("short.on", { date: oneDate(words, told.date, today) });
    case "perhapsReached":
      return words.say("short.perhapsReached", { to: end(words, told.to, reader) });
    case "between": {
      const [from, to] = ends(words, told.from, told.to, reader);
      return words.say("short.between", { from, to });
    }
    case "notBefore":
      return words.say("short.notBefore", { from: start(words, told.from, reader) });
    default:
      return words.say(`short.${told.kind}`);
  }
}

/** The range in as few letters as a drawing has room for: "12 – 30 May". */
export function likelyInDrawing(
  words: Wording,
  likely: LikelyDates | undefined,
  today: PlainDate,
): string {
  const told = toldRange(likely, today, null);
  const brief = ({ date, fineness }: ToldDate) =>
    words.date(date, briefGrain(fineness, [date], today));
  switch (told.kind) {
    case "on":
      return words.date(told.date, briefGrain("day", [told.date], today));
    case "perhapsReached":
    case "probablyReached": {
      const key = told.to.fineness === "day" ? "compact.by" : "compact.byEndOf";
      return words.say(key, { to: brief(told.to) });
    }
    case "between": {
      const [from, to] = [told.from.date, told.to.date];
      return words.span(from, to, briefGrain(told.from.fineness, [from, to], today));
    }
    case "notBefore":
      return words.say("compact.from", { from: brief(told.from) });
    default:
      return words.say(`compact.${told.kind}`);
  }
}

function readerOf(today: PlainDate, zone: string | undefined): Reader {
  return { today, hemisphere: zone === undefined ? null : seasonsOf(zone) };
}

function cannotTell(words: Wording, most: ToldDate | undefined, reader: Reader): string {
  if (!most) return words.say("date.cannotTell");
  if (most.date <= reader.today) return words.say("date.cannotTellReached");
  return words.say("date.cannotTellBy", { most: end(words, most, reader) });
}

function perhapsReached(
  words: Wording,
  { to, most }: Extract<ToldRange, { kind: "perhapsReached" }>,
  reader: Reader,
): string {
  const last = end(words, to, reader);
  if (!most) return words.say("date.perhapsReached", { to: last });
  return words.say("date.perhapsReachedMost", {
    to: last,
    most: likeliest(words, period(words, most, roleOf(most), reader)),
  });
}

function between(
  words: Wording,
  { from, to, most }: Extract<ToldRange, { kind: "between" }>,
  reader: Reader,
): string {
  const [first, last] = ends(words, from, to, reader);
  if (!most) return words.say("date.between", { from: first, to: last });
  // Inside a range that names its years, the day alone is clear.
  const date =
    most.fineness === "day"
      ? dayIn(words, roleOf(most), words.date(most.date, "day"))
      : period(words, most, roleOf(most), reader);
  return words.say("date.betweenMost", { from: first, to: last, most: likeliest(words, date) });
}

function roleOf({ about }: ToldDate): Role {
  return about ? "around" : "on";
}

function likeliest(words: Wording, date: string): string {
  return words.say("date.most", { date });
}

function briefGrain(
  fineness: ToldDate["fineness"],
  dates: readonly PlainDate[],
  today: PlainDate,
): Grain {
  if (fineness === "year") return "year";
  if (fineness !== "day") return "shortMonth";
  return dayGrain(dates, today) === "day" ? "short" : "shortYear";
}

function reachedSentence(
  words: Wording,
  { item: { byRule, due, reachedBy }, today, meterUnit }: DueQuestion,
): string | null {
  if (reachedBy === "calendar" && due.date !== undefined) {
    if (due.date === today) return words.say("date.today");
    const date = oneDate(words, due.date, today);
    return words.say(due.date < today ? "date.sinceDate" : "date.on", { date });
  }
  if (reachedBy !== "reading") return null;
  if (byRule === "hours" && due.hours !== undefined) {
    return words.say("date.reachedHours", { hours: amount(words, due.hours, "h", 1) });
  }
  if (due.distance === undefined) return words.say("date.reached");
  return words.say("date.reachedDistance", { distance: amount(words, due.distance, meterUnit) });
}
