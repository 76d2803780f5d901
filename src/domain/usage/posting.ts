import type { Ridden } from "./interval-ridden.ts";

/** How many of the last intervals tell what makes a rider post. */
const LAST_INTERVALS = 12;
const LEAST_INTERVALS = 3;
/** Squared relative spread that stays in doubt, shared by the intervals: two steady rows tell nothing. */
const DOUBT = 0.1;

/**
 * How far the posts of a machine follow its distance (a reading at each filling) rather than the
 * calendar (one a month), 0 to 1: c_t/(c_t + c_x) m/(m + n), with c the squared coefficients of variation of
 * the days and of the distances of the last m intervals. Posts that follow the distance come at even
 * distances and odd times. Of someone who posts so, silence says that the machine stands.
 * @param doubtIntervals intervals (n) that posting by the calendar weighs before any is seen
 */
export function followsDistance(ridden: readonly Ridden[], doubtIntervals: number): number {
  const last = ridden.slice(-LAST_INTERVALS);
  const count = last.length;
  if (count < LEAST_INTERVALS) return 0;
  const ofTime = unevenness(last.map(({ clockDays }) => clockDays));
  const ofDistance = unevenness(last.map(({ km }) => km));
  if (ofTime === null || ofDistance === null) return 0;
  return ((ofTime / (ofTime + ofDistance)) * count) / (count + doubtIntervals);
}

/** The squared coefficient of variation with its doubt; null where nothing adds up to anything. */
function unevenness(values: readonly number[]): number | null {
  const count = values.length;
  let sum = 0;
  for (const value of values) sum += value;
  const mean = sum / count;
  if (mean <= 0) return null;
  let squares = 0;
  for (const value of values) squares += (value - mean) ** 2;
  return squares / count / mean ** 2 + DOUBT / count;
}
