import { fc, test } from "@fast-check/vitest";
import { describe, expect } from "vitest";
import { KM_PER_MI } from "../../../src/domain/units/distance.ts";
import { figuresDisagree, pairDisagrees } from "../../../src/domain/units/pair.ts";

describe("a printed pair of distances", () => {
  // Common practice, no source: pairs as handbooks round them.
  test.each([
    [1000, 600],
    [1000, 621],
    [500, 300],
    [5000, 3000],
    [6000, 4000],
    [6000, 3700],
    [10000, 6000],
    [12000, 7500],
    [12000, 8000],
    [15000, 10000],
    [24000, 15000],
  ])("agrees as rounded: %i km or %i mi", (km, mi) => {
    expect(pairDisagrees(km, mi)).toBe(false);
  });

  test.each([
    [1000, 6000, "a nought too many"],
    [1000, 60, "a nought too few"],
    [600, 1000, "the units swapped"],
    [6000, 6000, "one figure for both"],
    [1000, 1000, "one round figure for both"],
    [6001, 4000, "an exact figure beside a far one"],
  ])("disagrees: %i km or %i mi, %s", (km, mi) => {
    expect(pairDisagrees(km, mi)).toBe(true);
  });

  test.prop([fc.integer({ min: 50, max: 200_000 }), fc.integer({ min: 1, max: 6 })])(
    "rounded to any count of digits from two up agrees, and ten times as much never does",
    (km, digits) => {
      const printed = Number((km / KM_PER_MI).toPrecision(Math.max(2, digits)));
      expect(pairDisagrees(km, printed)).toBe(false);
      expect(pairDisagrees(km, printed * 10)).toBe(true);
      expect(pairDisagrees(km * 10, printed)).toBe(true);
    },
  );

  test.prop([
    fc.integer({ min: 1, max: 99_999 }),
    fc.integer({ min: 1, max: 99_999 }),
    fc.constantFrom(0.125, 0.5, 1, 2, 16),
  ])("is judged the same from either side", (a, b, factor) => {
    expect(figuresDisagree(a, b, factor)).toBe(figuresDisagree(b, a, 1 / factor));
  });
});
