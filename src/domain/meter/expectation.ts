/** What the forecast makes of a total at the instant of a reading, from the readings before it. */
export interface Expectation {
  /** P(the total is at least this much). */
  tail(total: number): number;
  /** Logarithm of the probability density, per unit of the meter. */
  logDensity(total: number): number;
}

/** Half the width over which the density is taken: meters are read to whole units. */
const HALF_UNIT = 0.5;
/** A floor under densities: beyond it no law tells one improbable total from another. */
const LEAST_DENSITY = 1e-12;

/** An expectation from a law of totals; `toLaw` brings the meter's unit to the law's. */
export function expectationOf(
  law: { reachedBy(total: number, day: number): number },
  day: number,
  toLaw: (total: number) => number,
): Expectation {
  const tail = (total: number) => law.reachedBy(toLaw(total), day);
  return {
    tail,
    logDensity(total) {
      // The spread of a whole unit, widened with the total so that rounding to tens does not matter.
      const half = Math.max(HALF_UNIT, total * 0.001);
      const mass = tail(total - half) - tail(total + half);
      return Math.log(Math.max(mass / (2 * half), LEAST_DENSITY));
    },
  };
}
