/**
 * Evenly spread numbers in (0, 1), the same for the same seed: the multiplicative congruential
 * generator with modulus 2^31 - 1 and multiplier 48271 (Park, Miller and Stockmeyer 1993, from
 * memory). Its first numbers still follow the seed, so they are passed over.
 */
export function seeded(seed: number): () => number {
  let state = seed;
  const next = () => {
    state = (state * 48_271) % 2_147_483_647;
    return state / 2_147_483_647;
  };
  for (let skipped = 0; skipped < 10; skipped += 1) next();
  return next;
}

/** A standard normal deviate by the polar form of Box and Muller's method (from memory). */
export function normal(random: () => number): number {
  for (;;) {
    const [x, y] = [2 * random() - 1, 2 * random() - 1];
    const square = x * x + y * y;
    if (square > 0 && square < 1) return x * Math.sqrt((-2 * Math.log(square)) / square);
  }
}

/** An exponential deviate of mean 1. */
export function exponential(random: () => number): number {
  return -Math.log(random());
}
