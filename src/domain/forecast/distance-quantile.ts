import { solve } from "./root.ts";

/** A millimetre: less is nothing. */
const NOTHING_KM = 1e-6;
const WIDEN = 4;

/**
 * Quantile p of a distance (km) of which `exceeds(d)` = P(at least d km) is known, with a lump at 0.
 * @param moving P(any distance at all); up to p = 1 - moving the quantile is 0
 * @param guess km, above 0, where the search begins
 */
export function distanceQuantile(
  exceeds: (km: number) => number,
  moving: number,
  p: number,
  guess: number,
): number {
  const wanted = 1 - p;
  if (wanted >= moving) return 0;
  if (wanted <= 0) return Number.POSITIVE_INFINITY;
  let low = Math.max(guess, 2 * NOTHING_KM);
  let atLow = exceeds(low);
  let high = low;
  let atHigh = atLow;
  while (atHigh > wanted) {
    low = high;
    atLow = atHigh;
    high *= WIDEN;
    atHigh = exceeds(high);
  }
  while (atLow <= wanted) {
    high = low;
    atHigh = atLow;
    low /= WIDEN;
    if (low < NOTHING_KM) return 0;
    atLow = exceeds(low);
  }
  return solve(exceeds, wanted, { low, atLow, high, atHigh });
}
