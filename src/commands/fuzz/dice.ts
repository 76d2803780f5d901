/** Chance that is the same for the same seed. */
export interface Dice {
  /** A fraction from 0 up to 1. */
  fraction(): number;
  /** A whole number from 0 up to the bound. */
  below(bound: number): number;
  /** A whole number within both bounds. */
  between(least: number, most: number): number;
  chance(probability: number): boolean;
  pick<T>(from: readonly T[]): T;
}

/** Dice of one request: those of the same seed and number always fall alike. */
export function diceOf(seed: number, number: number): Dice {
  let state = (Math.imul(seed | 0, 0x9e3779b1) ^ Math.imul(number + 1, 0x85ebca6b)) >>> 0;
  // Mulberry32, a generator of 32 bits in the public domain.
  const fraction = () => {
    state = (state + 0x6d2b79f5) >>> 0;
    let mixed = Math.imul(state ^ (state >>> 15), state | 1);
    mixed ^= mixed + Math.imul(mixed ^ (mixed >>> 7), mixed | 61);
    return ((mixed ^ (mixed >>> 14)) >>> 0) / 4294967296;
  };
  const below = (bound: number) => Math.floor(fraction() * bound);
  return {
    fraction,
    below,
    between: (least, most) => least + below(most - least + 1),
    chance: (probability) => fraction() < probability,
    pick: (from) => {
      if (from.length === 0) throw new Error("There is nothing to pick from.");
      return from[below(from.length)] as never;
    },
  };
}
