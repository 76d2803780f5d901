import type { Point } from "../../../domain/usage/track.ts";
import type { Method } from "../method.ts";
import { logLogistic } from "./log-logistic.ts";
import { naiveMethod, type Past, PRIOR_SPREAD } from "./naive-method.ts";

/** A method's own errors are mixed with this many intervals of the prior spread. */
const PRIOR_INTERVALS = 4;

/**
 * A method that knows but one rate (km per day, above 0): the median of the crossing is the distance
 * left over that rate, and the spread about it is what the method itself was off by so far.
 */
export function pointMethod(name: string, rateOf: (past: Past) => number): Method {
  return naiveMethod(name, (past) => logLogistic(rateOf(past), spreadOf(past, rateOf)));
}

/**
 * Root mean square of the method's one-step errors ln((dx + c) / (rate before x dt + c)), where c,
 * one day's distance at the prior rate, keeps intervals without distance finite; shrunk to the
 * prior spread.
 */
function spreadOf({ track, prior }: Past, rateOf: (past: Past) => number): number {
  let squares = PRIOR_INTERVALS * PRIOR_SPREAD ** 2;
  const [first, ...others] = track;
  const known: [Point, ...Point[]] = [first];
  let before = first;
  for (const point of others) {
    const expected = rateOf({ track: known, prior }) * (point.day - before.day);
    squares += Math.log((point.km - before.km + prior) / (expected + prior)) ** 2;
    known.push(point);
    before = point;
  }
  return Math.sqrt(squares / (PRIOR_INTERVALS + others.length));
}
