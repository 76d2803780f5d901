import { describe, expect, it } from "vitest";
import { followsDistance } from "../../../src/domain/usage/posting.ts";

const intervals = (...pairs: [clockDays: number, km: number][]) =>
  pairs.map(([clockDays, km]) => ({ clockDays, km, age: 0 }));

/** A filling each 200 km, after few or many days. */
const atTheTank = intervals([4, 200], [11, 210], [3, 190], [25, 205], [6, 200], [14, 195]);
/** A reading each month, whatever was ridden. */
const monthly = intervals([30, 20], [31, 640], [30, 210], [29, 980], [30, 75], [31, 410]);

describe("what makes a rider post", () => {
  it("is the distance where readings come at even distances and odd times", () => {
    expect(followsDistance(atTheTank, 4)).toBeGreaterThan(0.5);
  });

  it("is the calendar where they come at even times and odd distances", () => {
    expect(followsDistance(monthly, 4)).toBeLessThan(0.1);
  });

  it("stays open for a rider who is steady in both, and for one who has hardly posted", () => {
    const steady = intervals([14, 280], [14, 280], [14, 280], [14, 280]);
    expect(followsDistance(steady, 4)).toBeCloseTo(0.25, 12);
    expect(followsDistance(atTheTank.slice(0, 2), 4)).toBe(0);
  });

  it("is worked out by hand for three intervals", () => {
    // Days 10, 20, 30: mean 20, variance 200/3, squared variation 1/6; distances all 100: none.
    const ridden = intervals([10, 100], [20, 100], [30, 100]);
    const [ofTime, ofDistance] = [1 / 6 + 0.1 / 3, 0.1 / 3];
    expect(followsDistance(ridden, 4)).toBeCloseTo((ofTime / (ofTime + ofDistance)) * (3 / 7), 12);
  });

  it("cannot be told of a machine that has not moved", () => {
    expect(followsDistance(intervals([10, 0], [20, 0], [30, 0], [9, 0]), 4)).toBe(0);
  });
});
