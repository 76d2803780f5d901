import type { DueTold, WhyView } from "../application/views.ts";
import { addDays, type PlainDate } from "../domain/calendar/plain-date.ts";
import { amount, type MeterUnit } from "./figures.ts";
import { labelled } from "./phrases.ts";
import type { Wording } from "./wording.ts";

/**
 * What stands below the date sentence: by which rule the task comes due and what shows it, what is
 * left, the other limits, the permitted window, and where the due point comes from.
 */
export function dueLines(
  words: Wording,
  item: DueTold,
  unit: MeterUnit,
): { rule: string; more: string[] } {
  const rule = [
    leftLine(words, item, unit),
    `${stageText(words, item)}.`,
    othersLine(words, item, unit),
  ];
  const more = [
    windowLine(words, item, unit),
    ...(item.why ?? []).map((why) => whyLine(words, why, unit)),
  ];
  return { rule: rule.filter(Boolean).join(" "), more: more.filter(Boolean) };
}

function stageText(words: Wording, { stage, byRule, reachedBy }: DueTold): string {
  const text = words.say(`stage.${stage}`, { rule: words.say(`rule.${byRule}`) });
  if (stage === "ahead" || !reachedBy) return text;
  return labelled(words, text, words.say(`reached.${reachedBy}`));
}

function leftLine(words: Wording, item: DueTold, unit: MeterUnit): string {
  const { due, distanceLeft, hoursLeft, byRule } = item;
  if (byRule === "hours" && hoursLeft !== undefined && due.hours !== undefined) {
    const left = amount(words, Math.abs(hoursLeft), "h", 1);
    const key = hoursLeft < 0 ? "left.hoursPast" : "left.hours";
    return words.say(key, { left, due: amount(words, due.hours, "h", 1) });
  }
  if (byRule !== "distance" || distanceLeft === undefined || due.distance === undefined) return "";
  const left = amount(words, Math.abs(distanceLeft), unit);
  const key = distanceLeft < 0 ? "left.distancePast" : "left.distance";
  return words.say(key, { left, due: amount(words, due.distance, unit) });
}

function othersLine(words: Wording, { due, byRule }: DueTold, unit: MeterUnit): string {
  const others: string[] = [];
  if (byRule !== "distance" && due.distance !== undefined) {
    others.push(words.say("due.atDistance", { distance: amount(words, due.distance, unit) }));
  }
  if (byRule !== "hours" && due.hours !== undefined) {
    others.push(words.say("due.atHours", { hours: amount(words, due.hours, "h", 1) }));
  }
  if (byRule !== "date" && due.date !== undefined) {
    others.push(words.say("due.onDate", { date: words.date(due.date, "dayYear") }));
  }
  return others.length === 0
    ? ""
    : words.say("due.also", { count: others.length, limits: others.join(", ") });
}

function windowLine(words: Wording, { window }: DueTold, unit: MeterUnit): string {
  const spans: string[] = [];
  const figures = (span: { from: number; to: number }, of: MeterUnit) =>
    words.say("window.span", {
      from: amount(words, span.from, of, 1),
      to: amount(words, span.to, of, 1),
    });
  if (window?.distance) spans.push(figures(window.distance, unit));
  if (window?.hours) spans.push(figures(window.hours, "h"));
  if (window?.date) {
    const [from, to] = endsOrDays(words, window.date.from, window.date.to);
    spans.push(words.say("window.dates", { from, to }));
  }
  return spans.length === 0 ? "" : words.say("window.counts", { spans: spans.join(", ") });
}

function endsOrDays(words: Wording, from: PlainDate, to: PlainDate): [string, string] {
  return words.ends(from, to > from ? to : addDays(from, 1), "dayYear");
}

function whyLine(words: Wording, why: WhyView, unit: MeterUnit): string {
  switch (why.code) {
    case "interval":
      return intervalLine(words, why, unit);
    case "mark":
      return words.say("why.mark", { distance: amount(words, why.distance, unit) });
    case "lastWork":
      return lastWorkLine(words, why, unit);
    case "severe":
      return words.say("why.severe", { percent: words.percent(why.factor), reason: why.reason });
    case "wear":
      return words.say("why.wear", {
        point: why.point,
        distance: amount(words, why.distance, unit),
      });
    case "made":
      return words.say("why.made", { on: words.date(why.on, "dayYear") });
  }
}

function lastWorkLine(
  words: Wording,
  { on, distance }: Extract<WhyView, { code: "lastWork" }>,
  unit: MeterUnit,
): string {
  const day = on === undefined ? "" : words.date(on, "dayYear");
  const reading = distance === undefined ? "" : amount(words, distance, unit);
  if (day && reading) return words.say("why.lastWork", { on: day, distance: reading });
  if (day) return words.say("why.lastWorkOn", { on: day });
  return reading && words.say("why.lastWorkAt", { distance: reading });
}

function intervalLine(
  words: Wording,
  why: Extract<WhyView, { code: "interval" }>,
  unit: MeterUnit,
): string {
  const parts: string[] = [];
  if (why.distance !== undefined) parts.push(amount(words, why.distance, unit));
  if (why.hours !== undefined) parts.push(words.say("figure.hours", { hours: why.hours }));
  if (why.months !== undefined) parts.push(words.say("figure.months", { months: why.months }));
  const [first, ...rest] = parts;
  if (first === undefined) return "";
  const limits = rest.reduce((one, other) => words.either(one, other), first);
  if (why.first) return words.say("why.first", { limits });
  if (rest.length === 0) return words.say("why.every", { limits });
  return words.say(why.whichever === "first" ? "why.everyFirst" : "why.everyLast", { limits });
}
