import type { EstimateView, PointView } from "../application/views.ts";
import type { DistanceUnit } from "../domain/units/distance.ts";
import { oneLine } from "./one-line.ts";
import type { Wording } from "./wording.ts";

export type MeterUnit = DistanceUnit | "h";

/** "5,210 km"; with `digits`, "5,210.4 km". */
export function amount(words: Wording, value: number, unit: MeterUnit, digits = 0): string {
  return words.say(`unit.${unit}`, { value: words.number(value, digits) });
}

/** "about 560 km, probably between 520 and 610 km"; only "about 560 km" where that is exact. */
export function estimate(words: Wording, { p10, p50, p90 }: EstimateView, unit: MeterUnit): string {
  const about = words.say("figure.about", { value: amount(words, p50, unit) });
  const [from, to] = [words.number(Math.floor(p10)), amount(words, Math.ceil(p90), unit)];
  return p90 - p10 < 2 ? about : words.say("machine.meterRange", { about, from, to });
}

/** "0.08 to 0.13 mm", "at least 1.5 mm", "by eye or feel". */
export function limits(words: Wording, { lower, upper, unit = "mm", method }: PointView): string {
  if (method === "look") return words.say("figure.look");
  const digits = Math.max(digitsOf(lower), digitsOf(upper));
  const withUnit = (value: string) => words.say("unit.other", { value, unit });
  const figure = (value: number) => words.measure(value, digits);
  if (lower !== undefined && upper !== undefined) {
    return withUnit(words.say("figure.range", { from: figure(lower), to: figure(upper) }));
  }
  if (lower !== undefined) return withUnit(words.say("figure.atLeast", { lower: figure(lower) }));
  if (upper !== undefined) return withUnit(words.say("figure.atMost", { upper: figure(upper) }));
  return words.say("figure.noLimit");
}

/** "0.13, then 0.08"; empty where there is no leaf to try. */
export function leaves(words: Wording, point: PointView): string {
  const digits = Math.max(
    2,
    ...[point.lower, point.upper, ...(point.leavesToTry ?? [])].map(digitsOf),
  );
  const [first, ...rest] = (point.leavesToTry ?? []).map((leaf) => words.measure(leaf, digits));
  if (first === undefined) return "";
  if (rest.length === 0) return first;
  const [second = "", ...others] = rest;
  const after = others.reduce((one, other) => words.say("figure.row", { one, other }), second);
  return words.say("figure.then", { first, rest: after });
}

/** Digits after the decimal point, at most 4. */
export function digitsOf(value: number | undefined): number {
  if (value === undefined) return 0;
  return String(Number(value.toFixed(4))).split(".")[1]?.length ?? 0;
}

/**
 * The figures of a printed meter: at least five whole ones, then the tenth, for an estimate or a
 * reading to compare with the instrument.
 */
export function meterFigures(value: number): { whole: string[]; tenth: string } {
  const tenths = Math.max(0, Math.round(value * 10));
  const text = String(tenths).padStart(6, "0");
  return { whole: [...text.slice(0, -1)], tenth: text.slice(-1) };
}

/** Cuts a text to a length, with an ellipsis that says so. */
export function shorten(text: string, most: number): string {
  const glyphs = [...oneLine(text)];
  return glyphs.length <= most
    ? glyphs.join("")
    : `${glyphs
        .slice(0, most - 1)
        .join("")
        .trimEnd()}…`;
}
