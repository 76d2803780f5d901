import { describe, expect, it } from "vitest";
import { crps, misses } from "../../../src/commands/backtest/score.ts";

const CAP = 3650;
/** Log-logistic with a median of 100 days. */
const law = (days: number) => (days <= 0 ? 0 : 1 / (1 + (days / 100) ** -3));

describe("an outcome that was not seen", () => {
  it("is scored up to the last moment known, and no further", () => {
    const early = crps(law, { days: 40, seen: false }, CAP);
    const later = crps(law, { days: 300, seen: false }, CAP);
    expect(early.days).toBeGreaterThan(0);
    expect(later.days).toBeGreaterThan(early.days);
    expect(crps(law, { days: 300, seen: true }, CAP).days).toBeGreaterThan(later.days);
  });

  it("has its place spread over what the law leaves", () => {
    // Median passed unseen: the place is even over (0.5, 1), a fifth of which lies above 0.9.
    expect(misses(law, { days: 100, seen: false })).toEqual({ below: 0, above: 0.2 });
    expect(misses(law, { days: 100, seen: true })).toEqual({ below: 0, above: 0 });
    expect(misses(law, { days: 1000, seen: false })).toEqual({ below: 0, above: 1 });
    const fresh = misses(law, { days: 0, seen: false });
    expect(fresh.below).toBeCloseTo(0.1, 12);
    expect(fresh.above).toBeCloseTo(0.1, 12);
  });

  it("lies below P10 where it came sooner", () => {
    expect(misses(law, { days: 20, seen: true })).toEqual({ below: 1, above: 0 });
    expect(misses(law, { days: 400, seen: true })).toEqual({ below: 0, above: 1 });
  });
});

describe("a law that is nearer to the outcome", () => {
  it("has the better scores", () => {
    const near = (days: number) => (days <= 0 ? 0 : 1 / (1 + (days / 200) ** -3));
    const outcome = { days: 210, seen: true };
    expect(crps(near, outcome, CAP).days).toBeLessThan(crps(law, outcome, CAP).days);
    expect(crps(near, outcome, CAP).log).toBeLessThan(crps(law, outcome, CAP).log);
  });
});
