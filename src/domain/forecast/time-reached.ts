import { type Mixture, movedWithin } from "./mixture.ts";
import { type Bracket, solve } from "./root.ts";

/** Half an hour of riding time: nothing is told more finely. */
const EARLIEST = 0.02;

/**
 * Clock days after the last reading by which `left` km are ridden with each probability; null where
 * that is not so by `horizon`. All probabilities share one walk over doubling times, and the answers
 * never fall from one to the next.
 * @param left km, above 0
 * @param ascending probabilities, each at least the one before
 */
export function timesReached(
  mixture: Mixture,
  left: number,
  ascending: readonly number[],
  horizon: number,
): (number | null)[] {
  const reached = (time: number) => movedWithin(mixture, time, left);
  const start = firstBracket(mixture, left, horizon, reached);
  let { high, atHigh } = start;
  const bracket: Bracket = start;
  let earliest = 0;
  return ascending.map((p) => {
    if (bracket.atLow >= p) return Math.max(earliest, bracket.low);
    while (atHigh < p) {
      if (high >= horizon) return null;
      bracket.low = high;
      bracket.atLow = atHigh;
      high = Math.min(2 * high, horizon);
      atHigh = reached(high);
    }
    bracket.high = high;
    bracket.atHigh = atHigh;
    earliest = Math.max(earliest, solve(reached, p, bracket));
    return earliest;
  });
}

/** From the earliest time told to a quarter of the time expected at this season's rate. */
function firstBracket(
  mixture: Mixture,
  left: number,
  horizon: number,
  reached: (time: number) => number,
): Bracket {
  const seasonRate = mixture.rate[0] as number;
  const high = Math.min(horizon, Math.max(1, left / seasonRate) / 4);
  const low = Math.min(EARLIEST, high);
  return { low, atLow: reached(low), high, atHigh: reached(high) };
}
