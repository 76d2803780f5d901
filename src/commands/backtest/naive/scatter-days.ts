import type { Interval } from "./intervals.ts";

/** Scatter before any interval is seen, days, and the intervals it is worth; tried on invented riders. */
const PRIOR_SCATTER = 14;
const PRIOR_INTERVALS = 4;
/** The hour at which a reading was taken says little: an interval counts as no shorter. */
const LEAST_DAYS = 1;

/**
 * How unevenly the distance comes, days (above 0): the variance of the distance of dt days is
 * rate^2 x scatter x dt. Estimated by moments about `rate` (km per day), the mean of the intervals,
 * and shrunk to the prior scatter.
 */
export function scatterDays(intervals: readonly Interval[], rate: number): number {
  let sum = PRIOR_INTERVALS * PRIOR_SCATTER;
  for (const { days, km } of intervals) {
    sum += (km / rate - days) ** 2 / Math.max(days, LEAST_DAYS);
  }
  return sum / (PRIOR_INTERVALS + intervals.length);
}
