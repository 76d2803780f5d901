/** Where a value is looked for: `low` and `high` with the probabilities there, around the wanted one. */
export interface Bracket {
  low: number;
  atLow: number;
  high: number;
  atHigh: number;
}

/** Good enough: the probability is met to this. */
const PROBABILITY_TOLERANCE = 1e-9;
/** Good enough: the bracket is this narrow, relative to the value. */
const RELATIVE_TOLERANCE = 1e-8;
/** Regula falsi alone may creep; one bisection in so many steps bounds the number of steps. */
const BISECT_EVERY = 8;
const MOST_STEPS = 200;

/**
 * The x > 0 with f(x) = p inside the bracket, f monotone (rising or falling) and atLow, atHigh on
 * either side of p. Regula falsi (Illinois variant) on ln x against the log odds of f, in which a
 * log-logistic law is nearly straight. The bracket is narrowed in place, still around p.
 */
export function solve(f: (x: number) => number, p: number, bracket: Bracket): number {
  const target = logit(p);
  let low = Math.log(bracket.low);
  let high = Math.log(bracket.high);
  let lowGap = logit(bracket.atLow) - target;
  let highGap = logit(bracket.atHigh) - target;
  const rises = lowGap < highGap;
  let side = 0;
  for (let step = 1; step <= MOST_STEPS; step++) {
    if (high - low < RELATIVE_TOLERANCE) break;
    const bisect = step % BISECT_EVERY === 0 || !Number.isFinite(lowGap - highGap);
    const next = bisect ? (low + high) / 2 : low + ((high - low) * lowGap) / (lowGap - highGap);
    const x = Math.exp(next);
    const value = f(x);
    const gap = logit(value) - target;
    if (gap < 0 === rises) {
      low = next;
      lowGap = gap;
      bracket.low = x;
      bracket.atLow = value;
      if (side === -1) highGap /= 2;
      side = -1;
    } else {
      high = next;
      highGap = gap;
      bracket.high = x;
      bracket.atHigh = value;
      if (side === 1) lowGap /= 2;
      side = 1;
    }
    if (Math.abs(value - p) < PROBABILITY_TOLERANCE) return x;
  }
  return bracket.high;
}

/** ln(p/(1-p)), kept finite at 0 and 1. */
function logit(p: number): number {
  const inside = Math.min(Math.max(p, 1e-300), 1 - 1e-16);
  return Math.log(inside / (1 - inside));
}
