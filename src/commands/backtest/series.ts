import type { VehicleKind } from "../../domain/usage/kind.ts";
import type { LayUpDays } from "../../domain/usage/lay-up.ts";
import type { Point } from "../../domain/usage/track.ts";

/** One machine whose whole story is known: what was posted, and what the meter really did. */
export interface Series {
  readonly name: string;
  /** Machines that the table puts together. */
  readonly group: string;
  readonly kind: VehicleKind;
  /** Readings as posted, in time order, never falling. */
  readonly posted: readonly Point[];
  readonly layUps: readonly LayUpDays[];
  readonly declaredKmPerYear?: number | undefined;
  /** The total at moments in time order, from the first to the last that is known. */
  readonly truth: readonly Point[];
}

/** Day on which the total passed `km`, on the straight line between two moments; null = not seen. */
export function dayPassed(truth: readonly Point[], km: number): number | null {
  let [low, high] = [0, truth.length - 1];
  if ((truth[high]?.km ?? Number.NEGATIVE_INFINITY) < km) return null;
  while (low < high) {
    const middle = (low + high) >> 1;
    if ((truth[middle] as Point).km >= km) high = middle;
    else low = middle + 1;
  }
  const after = truth[low] as Point;
  const before = truth[low - 1];
  if (before === undefined) return after.day;
  return before.day + ((after.day - before.day) * (km - before.km)) / (after.km - before.km);
}

/** The total on a day, on the straight line between two moments; beyond the ends the end's own. */
export function totalOn(truth: readonly Point[], day: number): number {
  let [low, high] = [0, truth.length - 1];
  if (day >= (truth[high] as Point).day) return (truth[high] as Point).km;
  while (low < high) {
    const middle = (low + high) >> 1;
    if ((truth[middle] as Point).day > day) high = middle;
    else low = middle + 1;
  }
  const after = truth[low] as Point;
  const before = truth[low - 1];
  if (before === undefined) return after.km;
  return before.km + ((after.km - before.km) * (day - before.day)) / (after.day - before.day);
}
