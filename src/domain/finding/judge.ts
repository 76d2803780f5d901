import { toTicks } from "./exact.ts";
import { limitsSpan, pairSpan, pairVerdict } from "./feeler-pair.ts";
import { firstTry } from "./measuring-plan.ts";
import { type Measurement, type MeasuringPoint, unitOf, type Verdict } from "./point.ts";
import type { StatedLimits, StatedPair, Why } from "./why.ts";

export interface Judgement {
  verdict: Verdict;
  /** The leaf that settles an undetermined pair, in the point's unit; two may be stacked. */
  tryLeaf?: number;
  why: Why;
}

/**
 * Judges what was found at a point against its limits. `leaves` (mm) stand in for the point's
 * own; an empty list says as little as none. A point without any limit is `undetermined`: there
 * is nothing to hold the figure against.
 * Expects a measurement in which `measurementFault` finds nothing wrong.
 * @throws RangeError for a feeler pair in a unit that is no length
 */
export function judge(
  point: MeasuringPoint,
  found: Measurement,
  leaves: readonly number[] | undefined = point.leaves,
): Judgement {
  if ("stated" in found) return { verdict: "stated", why: { code: "stated" } };
  if ("look" in found) return { verdict: found.look, why: { code: "looked", look: found.look } };
  if ("value" in found) return judgeValue(point, found.value);
  return judgePair(point, found, leaves);
}

function judgeValue(point: MeasuringPoint, value: number): Judgement {
  const limits = statedLimits(point);
  const because = (code: "within" | "below" | "above" | "noLimits"): Why => ({
    code,
    value,
    limits,
  });
  if (!hasLimit(point)) return { verdict: "undetermined", why: because("noLimits") };
  const { least, most } = limitsSpan(point);
  const ticks = toTicks(value, limits.unit);
  if (ticks < least) return { verdict: "under", why: because("below") };
  if (ticks > most) return { verdict: "over", why: because("above") };
  return { verdict: "inSpec", why: because("within") };
}

function judgePair(
  point: MeasuringPoint,
  found: { goes?: number | undefined; refuses?: number | undefined },
  leaves: readonly number[] | undefined,
): Judgement {
  const pair = statedPair(found);
  if (!hasLimit(point)) return { verdict: "undetermined", why: { code: "gapNoLimits", pair } };
  const limits = statedLimits(point);
  const gap = pairSpan(found, point);
  const span = limitsSpan(point);
  const verdict = pairVerdict(gap, span);
  switch (verdict) {
    case "inSpec":
      return { verdict, why: { code: "gapWithin", pair, limits } };
    case "tight":
      return { verdict, why: { code: "gapTight", pair, limits } };
    case "loose":
      return { verdict, why: { code: "gapLoose", pair, limits } };
  }
  const open = gap.least < span.least && span.least < gap.most ? "lower" : "upper";
  const next = firstTry(point, gap, leaves, "unknown");
  const leaf =
    next === null ? null : { thickness: next.thickness, pieces: next.pieces, atHand: next.atHand };
  const why: Why = { code: "gapStraddles", pair, limits, open, next: leaf };
  return leaf === null ? { verdict, why } : { verdict, tryLeaf: leaf.thickness, why };
}

function hasLimit(point: MeasuringPoint): boolean {
  return point.lower !== undefined || point.upper !== undefined;
}

function statedLimits(point: MeasuringPoint): StatedLimits {
  return {
    ...(point.lower === undefined ? {} : { lower: point.lower }),
    ...(point.upper === undefined ? {} : { upper: point.upper }),
    unit: unitOf(point),
  };
}

function statedPair(found: {
  goes?: number | undefined;
  refuses?: number | undefined;
}): StatedPair {
  return {
    ...(found.goes === undefined ? {} : { goes: found.goes }),
    ...(found.refuses === undefined ? {} : { refuses: found.refuses }),
  };
}
