/** What the forecast makes of a total at the instant of a reading, from the readings before it. */
export interface Expectation {
  /** Probability density of the total, per unit of the meter. */
  density(total: number): number;
}

/** Half the width over which the density is taken: meters are read to whole units, or to tens. */
const LEAST_HALF = 0.5;
const MOST_HALF = 5;
/** The widest span over which a density is taken, units of the meter. */
export const WIDEST_SPAN = 2 * MOST_HALF;
/** Share of the total that reaches from the one to the other: no engine-hours meter is read to tens. */
const HALF_SHARE = 0.001;

/** An expectation from a law of totals; `toLaw` brings the meter's unit to the law's. */
export function expectationOf(
  law: { reachedBy(total: number, day: number): number },
  day: number,
  toLaw: (total: number) => number,
): Expectation {
  const reached = (total: number) => law.reachedBy(toLaw(total), day);
  return {
    density(total) {
      const half = halfAt(total);
      return (reached(total - half) - reached(total + half)) / (2 * half);
    },
  };
}

/** No total is denser than this, whatever is expected: all of it within the span of its density. */
export function mostDensity(total: number): number {
  return 1 / (2 * halfAt(total));
}

function halfAt(total: number): number {
  return Math.min(MOST_HALF, Math.max(LEAST_HALF, total * HALF_SHARE));
}
