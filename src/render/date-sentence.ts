import type { LikelyDates, ReminderItemView } from "../application/views.ts";
import { daysBetween, type PlainDate } from "../domain/calendar/plain-date.ts";
import { amount, type MeterUnit } from "./figures.ts";
import type { Grain, Wording } from "./wording.ts";

/** What is asked about a due point: when it is reached, or whether it was. */
export interface DueQuestion {
  item: Pick<ReminderItemView, "byRule" | "due" | "likely" | "reachedBy">;
  today: PlainDate;
  meterUnit: MeterUnit;
}

/** Ranges wider than these days are told in months, then in years: more would promise too much. */
const DAYS_UP_TO = 75;
const MONTHS_UP_TO = 900;

/** "Between 12 and 30 May, most likely 20 May." A range that never promises more than is known. */
export function dateSentence(words: Wording, question: DueQuestion): string {
  const { item, today } = question;
  return reachedSentence(words, question) ?? likelySentence(words, item.likely, today);
}

/** The same for a due point that nothing but the forecast tells of. */
export function likelySentence(
  words: Wording,
  likely: LikelyDates | undefined,
  today: PlainDate,
): string {
  if (!likely) return words.say("date.unknown");
  const { from, to, most } = likely;
  if (from === null) return words.say("date.farAway");
  if (from === to) return words.say("date.on", { date: oneDate(words, from, today) });
  if (from <= today) return startedSentence(words, to, most, today);
  if (to === null) {
    const month = words.date(from, "month");
    if (most === null) return words.say("date.hardlyBeforeOpen", { from: month });
    return words.say("date.hardlyBefore", { from: month, most: words.date(most, "month") });
  }
  const grain = grainOf(from, to, today);
  if (words.date(from, grain) === words.date(to, grain)) {
    return words.say("date.withinOne", { span: words.date(from, grain) });
  }
  const [first, last] = words.ends(from, to, grain);
  // Inside a range that names its years, the day alone is clear.
  const within = grain === "dayYear" ? "day" : grain;
  return words.say("date.between", {
    from: first,
    to: last,
    most: words.date(most ?? to, within),
  });
}

/** The range has begun: it may have been reached already. */
function startedSentence(
  words: Wording,
  to: PlainDate | null,
  most: PlainDate | null,
  today: PlainDate,
): string {
  if (most !== null && most <= today) {
    if (to === null || to <= today) return words.say("date.passedOpen");
    return words.say("date.passedLikely", { to: coarse(words, to, today) });
  }
  if (to === null || most === null) return words.say("date.nowOpen");
  return words.say("date.nowUntil", {
    to: coarse(words, to, today),
    most: coarse(words, most, today, to),
  });
}

/** The same in a few words for a subject line: "between 12 and 30 May". */
export function dateInShort(words: Wording, { item, today }: DueQuestion): string {
  const { likely, due, byRule, reachedBy } = item;
  if (byRule === "date" && due.date !== undefined && reachedBy === "calendar") {
    if (due.date === today) return words.say("short.today");
    return words.say("short.since", { date: oneDate(words, due.date, today) });
  }
  if (reachedBy === "reading" || reachedBy === "calendar") return words.say("short.reached");
  return likelyInShort(words, likely, today);
}

/** A range in a few words, where only the forecast tells. */
export function likelyInShort(
  words: Wording,
  likely: LikelyDates | undefined,
  today: PlainDate,
): string {
  if (!likely) return words.say("short.unknown");
  const { from, to, most } = likely;
  if (from === null) return words.say("short.far");
  if (from === to) return words.say("short.on", { date: oneDate(words, from, today) });
  if (from <= today) {
    if (most !== null && most <= today) return words.say("short.passed");
    return to === null
      ? words.say("short.now")
      : words.say("short.by", { to: coarse(words, to, today) });
  }
  if (to === null) return words.say("short.after", { from: words.date(from, "month") });
  const grain = grainOf(from, to, today);
  if (words.date(from, grain) === words.date(to, grain)) {
    return words.say("short.within", { span: words.date(from, grain) });
  }
  const [first, last] = words.ends(from, to, grain);
  return words.say("short.between", { from: first, to: last });
}

/** The range in as few letters as a drawing has room for: "12 – 30 May". */
export function likelyInDrawing(words: Wording, likely: LikelyDates, today: PlainDate): string {
  const { from, to, most } = likely;
  const short = { day: "short", dayYear: "shortYear", month: "shortMonth" } as const;
  const fine = (begin: PlainDate, end: PlainDate): Grain => {
    const grain = grainOf(begin, end, today);
    return grain === "day" || grain === "dayYear" || grain === "month" ? short[grain] : grain;
  };
  if (from === null) return words.say("short.far");
  if (from <= today && most !== null && most <= today && from !== to)
    return words.say("compact.passed");
  if (to === null) return words.say("compact.after", { from: words.date(from, "shortMonth") });
  if (from <= today) return words.say("compact.until", { to: words.date(to, fine(today, to)) });
  return words.span(from, to, fine(from, to));
}

/** A date that is known: "1 May", with its year where that is not this one. */
export function oneDate(words: Wording, date: PlainDate, today: PlainDate): string {
  return words.date(date, grainOf(date, date, today));
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
  if (due.distance === undefined) return null;
  return words.say("date.reachedDistance", { distance: amount(words, due.distance, meterUnit) });
}

/** A date as fine as the range from today to it, or to `end`, allows. */
function coarse(words: Wording, date: PlainDate, today: PlainDate, end = date): string {
  return words.date(date, grainOf(today, end, today));
}

/** Days while the range is narrow, then months, then years; the year wherever it is not this one. */
function grainOf(from: PlainDate, to: PlainDate, today: PlainDate): Grain {
  const width = daysBetween(from, to);
  if (width > MONTHS_UP_TO) return "year";
  if (width > DAYS_UP_TO) return "month";
  const thisYear = today.slice(0, 4);
  return from.startsWith(thisYear) && to.startsWith(thisYear) ? "day" : "dayYear";
}
