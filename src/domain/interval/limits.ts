import { convertDistance, type DistanceUnit } from "../units/distance.ts";

export type LimitName = "distance" | "months" | "hours";

/**
 * Limits as a caller posts them. A bare distance is in the vehicle's meter unit; a pair carries the
 * figures that a handbook prints for both units.
 */
export interface PostedLimits {
  distance?: number | { km?: number; mi?: number };
  months?: number;
  hours?: number;
}

/** Limits of one machine: distance in its meter's unit, calendar months, engine hours. */
export interface Limits {
  distance?: number;
  months?: number;
  hours?: number;
}

/**
 * The limits as one machine counts them. Of a pair the printed figure of the meter's own unit
 * counts (600 mi stays 600); only where it is missing is the other one converted, unrounded.
 */
export function resolveLimits(posted: PostedLimits, meterUnit: DistanceUnit): Limits {
  const limits: Limits = {};
  const distance = resolveDistance(posted.distance, meterUnit);
  if (distance !== undefined) limits.distance = distance;
  if (posted.months !== undefined) limits.months = posted.months;
  if (posted.hours !== undefined) limits.hours = posted.hours;
  return limits;
}

/** Whether there is no limit at all. */
export function isUnlimited(limits: Limits): boolean {
  return limits.distance === undefined && limits.months === undefined && limits.hours === undefined;
}

function resolveDistance(
  posted: PostedLimits["distance"],
  meterUnit: DistanceUnit,
): number | undefined {
  if (posted === undefined || typeof posted === "number") return posted;
  const printed = posted[meterUnit];
  if (printed !== undefined) return printed;
  const otherUnit = meterUnit === "km" ? "mi" : "km";
  const other = posted[otherUnit];
  return other === undefined ? undefined : convertDistance(other, otherUnit, meterUnit);
}
