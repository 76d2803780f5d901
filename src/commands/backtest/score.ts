/** A moment on which something fell, or the last at which it had not; days since the last reading. */
export interface Outcome {
  readonly days: number;
  readonly seen: boolean;
}

/** Days added before the logarithm, so that a miss by days close at hand does not count boundlessly. */
export const LOG_OFFSET = 14;

const STEPS = 96;

/** Continuous ranked probability scores of one forecast, the lower the better. */
export interface Score {
  /** Of the days. */
  readonly days: number;
  /** Of ln(days since the last reading + 14). */
  readonly log: number;
}

/**
 * The continuous ranked probability score, integral of (F(t) - 1{t >= y})^2, of a law of the days
 * since the last reading (Gneiting and Raftery 2007, section 4.2, as a loss), up to `cap` days; of an
 * outcome that was not seen, up to the last moment known. The integral is taken on ln(t + 14), on
 * which every law met here is smooth, by Simpson's rule on either side of the outcome.
 */
export function crps(law: (days: number) => number, outcome: Outcome, cap: number): Score {
  const before = integral((days) => law(days) ** 2, 0, Math.min(outcome.days, cap));
  if (!outcome.seen || outcome.days >= cap) return before;
  const after = integral((days) => (1 - law(days)) ** 2, outcome.days, cap);
  return { days: before.days + after.days, log: before.log + after.log };
}

function integral(f: (days: number) => number, from: number, to: number): Score {
  if (to <= from) return { days: 0, log: 0 };
  const [low, high] = [Math.log(from + LOG_OFFSET), Math.log(to + LOG_OFFSET)];
  const step = (high - low) / STEPS;
  let [days, log] = [0, 0];
  for (let i = 0; i <= STEPS; i += 1) {
    const weight = i === 0 || i === STEPS ? 1 : i % 2 === 1 ? 4 : 2;
    const shifted = Math.exp(low + i * step);
    const value = (weight * f(Math.max(0, shifted - LOG_OFFSET)) * step) / 3;
    log += value;
    days += value * shifted;
  }
  return { days, log };
}

/**
 * Where an outcome lies in its law: the shares of it below P10 and above P90. One that was not seen
 * lies somewhere beyond the last moment known; its place there is spread evenly over what the law
 * leaves (the conditional mean of an evenly spread probability integral transform).
 */
export function misses(
  law: (days: number) => number,
  { days, seen }: Outcome,
): { below: number; above: number } {
  const place = law(days);
  if (seen) return { below: place < 0.1 ? 1 : 0, above: place > 0.9 ? 1 : 0 };
  const left = 1 - place;
  const below = place < 0.1 ? (0.1 - place) / left : 0;
  return { below, above: left <= 0.1 ? 1 : 0.1 / left };
}
