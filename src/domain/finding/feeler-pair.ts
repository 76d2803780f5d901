import { isLengthUnit, toTicks } from "./exact.ts";
import { type MeasuringPoint, unitOf } from "./point.ts";

/** A span of the gap in ticks, least <= c < most; an open end is infinite. */
export interface Span {
  least: number;
  most: number;
}

/** The limits of a point as a span of ticks. */
export function limitsSpan(point: MeasuringPoint): Span {
  return span(point.lower, point.upper, unitOf(point));
}

/** What a feeler pair says of the gap. Without a leaf that goes, all that is known is c >= 0. */
export function pairSpan(
  pair: { goes?: number | undefined; refuses?: number | undefined },
  point: MeasuringPoint,
): Span {
  return span(pair.goes ?? 0, pair.refuses, unitOf(point));
}

/**
 * The verdict on a gap known as a span. The leaf of the lower limit must go in, the leaf of the
 * upper limit must not: so a gap of exactly the upper limit is loose.
 */
export function pairVerdict(
  gap: Span,
  limits: Span,
): "inSpec" | "tight" | "loose" | "undetermined" {
  if (gap.least >= limits.least && gap.most <= limits.most) return "inSpec";
  if (gap.most <= limits.least) return "tight";
  if (gap.least >= limits.most) return "loose";
  return "undetermined";
}

/** The unit of a feeler point, which must be a length. @throws RangeError for any other unit */
export function feelerUnit(point: MeasuringPoint): "mm" | "in" {
  const unit = unitOf(point);
  if (!isLengthUnit(unit)) throw new RangeError(`a feeler measures mm or in, not ${unit}`);
  return unit as "mm" | "in";
}

function span(least: number | undefined, most: number | undefined, unit: string): Span {
  return {
    least: least === undefined ? Number.NEGATIVE_INFINITY : toTicks(least, unit),
    most: most === undefined ? Number.POSITIVE_INFINITY : toTicks(most, unit),
  };
}
