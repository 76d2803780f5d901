import type { Leaf } from "./measuring-plan.ts";
import type { StatedLimits, StatedPair, Why } from "./why.ts";

const LOOKED = {
  sound: "Looked at and found sound.",
  watch: "Looked at: still serviceable, to be watched.",
  replace: "Looked at: to be replaced.",
};

/** The reason of a judgement as English: names the limits, the unit and what settles it. */
export function whySentence(why: Why): string {
  switch (why.code) {
    case "stated":
      return "Stated to be in spec; the figure was not noted.";
    case "looked":
      return LOOKED[why.look];
    case "noLimits":
      return `${figure(why.value, why.limits.unit)} was found; the point has no limit to hold it against.`;
    case "gapNoLimits":
      return "The point has no limit to hold the leaves against.";
    case "within":
      return `${figure(why.value, why.limits.unit)} is within the limits, ${limits(why.limits)}.`;
    case "below":
      return `${figure(why.value, why.limits.unit)} is below the limits, ${limits(why.limits)}.`;
    case "above":
      return `${figure(why.value, why.limits.unit)} is above the limits, ${limits(why.limits)}.`;
    case "gapWithin":
      return `${pair(why.pair, why.limits.unit)}: within the limits, ${limits(why.limits)}.`;
    case "gapTight":
      return `${pair(why.pair, why.limits.unit)}: tighter than the limits, ${limits(why.limits)}.`;
    case "gapLoose":
      return `${pair(why.pair, why.limits.unit)}: the leaf of the upper limit must not go in; looser than the limits, ${limits(why.limits)}.`;
    case "gapStraddles":
      return straddles(why);
  }
}

function straddles(why: Extract<Why, { code: "gapStraddles" }>): string {
  const { unit } = why.limits;
  const limit = figure(why.limits[why.open] ?? 0, unit);
  const start = `${pair(why.pair, unit)}: the gap may lie on either side of the ${why.open} limit (limits ${limits(why.limits)}).`;
  if (why.next === null) {
    return `${start} No leaf at hand tells more; one of ${limit} would settle that limit.`;
  }
  return `${start} Try ${leafText(why.next, unit)} next.`;
}

function leafText(leaf: Leaf, unit: string): string {
  if (!leaf.atHand) return `a leaf of ${figure(leaf.thickness, unit)}`;
  const stacked = leaf.pieces.map((piece) => figure(piece, "mm"));
  if (stacked.length === 1) return `the leaf of ${stacked[0]}`;
  return `the leaves of ${stacked.join(" and ")} stacked, ${figure(leaf.thickness, unit)} together`;
}

function pair(found: StatedPair, unit: string): string {
  const goes = found.goes === undefined ? null : `${figure(found.goes, unit)} goes in`;
  const refuses = found.refuses === undefined ? null : `${figure(found.refuses, unit)} does not`;
  if (goes !== null && refuses !== null) return `${goes}, ${refuses}`;
  return goes ?? `${figure(found.refuses ?? 0, unit)} does not go in`;
}

function limits({ lower, upper, unit }: StatedLimits): string {
  if (lower !== undefined && upper !== undefined) {
    return `${digits(lower, unit)} to ${figure(upper, unit)}`;
  }
  if (lower !== undefined) return `at least ${figure(lower, unit)}`;
  return `at most ${figure(upper ?? 0, unit)}`;
}

function figure(value: number, unit: string): string {
  return `${digits(value, unit)}${unit === "" || unit === "%" ? unit : ` ${unit}`}`;
}

/** Lengths are told as leaves are marked: hundredths of a mm, thousandths of an inch, finer where given finer. */
function digits(value: number, unit: string): string {
  const least = unit === "mm" ? 2 : unit === "in" ? 3 : 0;
  const text = value.toFixed(6).replace(/0+$/, "");
  const [whole = "", fraction = ""] = text.split(".");
  const shown = fraction.padEnd(least, "0");
  return shown === "" ? whole : `${whole}.${shown}`;
}
