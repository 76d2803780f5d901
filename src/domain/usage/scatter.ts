import { averageRate } from "./average-rate.ts";
import type { Ridden } from "./interval-ridden.ts";

/** Intervals that the expected scatter weighs. Less than one: a machine shows its own character soon. */
const SCATTER_PRIOR_INTERVALS = 0.4;
/** Shorter intervals are ruled by rounding and by the time of day. */
const SHORTEST = 1;

/**
 * How irregularly a machine is ridden, in clock days, above 0: the relative variance of the distance
 * of an interval times its length, B = (nu B0 + sum z^2 clockDays)/(nu + count) with
 * z = km/(average clockDays) - 1. A process with independent increments has the same B at any length.
 * @param prior km per clock day
 * @param expected B0 of the kind
 */
export function scatterOf(ridden: readonly Ridden[], prior: number, expected: number): number {
  const average = averageRate(ridden, prior);
  let sum = SCATTER_PRIOR_INTERVALS * expected;
  let count = SCATTER_PRIOR_INTERVALS;
  for (const interval of ridden) {
    if (interval.clockDays < SHORTEST) continue;
    const z = interval.km / (average * interval.clockDays) - 1;
    sum += z * z * interval.clockDays;
    count += 1;
  }
  return sum / count;
}
