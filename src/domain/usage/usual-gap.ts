import type { Ridden } from "./interval-ridden.ts";

/** How many of the last intervals tell how often a rider posts. */
const LAST_INTERVALS = 8;
/** A rider who posts daily is not silent after two days. */
const SHORTEST = 10;
/** A month for a rider who has posted once: common practice, no source. */
const UNKNOWN = 30;

/** Clock days that usually lie between two readings: the (upper) median of the last eight intervals. */
export function usualGap(ridden: readonly Ridden[]): number {
  if (ridden.length === 0) return UNKNOWN;
  const gaps = ridden.slice(-LAST_INTERVALS).map(({ clockDays }) => clockDays);
  gaps.sort((a, b) => a - b);
  return Math.max(SHORTEST, gaps[Math.floor(gaps.length / 2)] ?? UNKNOWN);
}
