/** A weight smaller than this is left out of the law of the count. */
const NEGLIGIBLE = 1e-9;

/**
 * Quantiles of how many of several independent things happen (the Poisson binomial law, by its
 * recursion over the things: Le Cam 1960, Pacific J. Math. 10, names it; the recursion is elementary).
 * An expectation above 1 is of one that comes for certain so many times, and perhaps once more.
 */
export function countsWithin(
  expected: readonly number[],
  low: number,
  high: number,
): { from: number; to: number } {
  const certain = expected.reduce((sum, times) => sum + Math.floor(times), 0);
  let weights = [1];
  let least = 0;
  for (const times of expected) {
    const chance = times - Math.floor(times);
    const next = [...weights, 0].map(
      (weight, count) => weight * (1 - chance) + (weights[count - 1] ?? 0) * chance,
    );
    const begin = next.findIndex((weight) => weight > NEGLIGIBLE);
    const end = next.findLastIndex((weight) => weight > NEGLIGIBLE);
    weights = next.slice(begin, end + 1);
    least += begin;
  }
  return {
    from: certain + least + quantileOf(weights, low),
    to: certain + least + quantileOf(weights, high),
  };
}

/** The smallest count whose probability of not being exceeded comes to p. */
function quantileOf(weights: readonly number[], p: number): number {
  let sum = 0;
  for (const [count, weight] of weights.entries()) {
    sum += weight;
    if (sum >= p) return count;
  }
  return weights.length - 1;
}
