import { fc, test } from "@fast-check/vitest";
import { describe, expect, it } from "vitest";
import type { Belief } from "../../../src/commands/backtest/method.ts";
import { NAIVE_METHODS } from "../../../src/commands/backtest/naive/all.ts";
import { BOOTSTRAP } from "../../../src/commands/backtest/naive/bootstrap.ts";
import {
  betaPrimeLaw,
  priorGammaRate,
  seen,
} from "../../../src/commands/backtest/naive/gamma-rate.ts";
import type { RiddenHistory } from "../../../src/domain/forecast/fit.ts";
import { trackUntil } from "../../../src/domain/usage/track.ts";
import { MAY_DAY, steadyRider, histories as unordered } from "../../domain/forecast/histories.ts";

const methods = NAIVE_METHODS.map((method) => [method.name, method] as const);
const distance = fc.double({ min: 0.1, max: 30_000, noNaN: true });
const later = fc.double({ min: 0, max: 4000, noNaN: true });

/** As the backtest hands them over: in order, at most one a day. */
const histories = unordered.map((history): RiddenHistory => {
  const readings = trackUntil(history.readings, history.asOf) ?? [];
  return { ...history, readings };
});

const endOf = ({ readings }: RiddenHistory) => readings.at(-1)!;

/** First day, to a hundredth, on which the crossing is as likely as not. */
function median(belief: Belief, km: number, from: number): number {
  const reached = belief.crossing(km);
  let [low, high] = [from, from + 36_500];
  while (high - low > 0.01) {
    const middle = (low + high) / 2;
    if (reached(middle) >= 0.5) high = middle;
    else low = middle;
  }
  return high;
}

it("has the methods in the order of the table", () => {
  expect(NAIVE_METHODS.map(({ name }) => name)).toEqual([
    "slope of the last two readings",
    "overall average",
    "trailing window",
    "EWMA with a prior",
    "Kalman local level",
    "bootstrap of past increments",
    "gamma process, conjugate",
    "two-speed beta-prime law",
  ]);
});

describe.each(methods)("%s", (_, method) => {
  test.prop([histories, distance, later, later])(
    "gives a chance from 0 to 1 that is never taken back",
    (history, ahead, a, b) => {
      const { day, km } = endOf(history);
      const reached = method.believe(history).crossing(km + ahead);
      const [before, after] = [reached(day + Math.min(a, b)), reached(day + Math.max(a, b))];
      expect(reached(day)).toBe(0);
      expect(before).toBeGreaterThanOrEqual(0);
      expect(after).toBeGreaterThanOrEqual(before - 1e-12);
      expect(after).toBeLessThanOrEqual(1 + 1e-12);
    },
  );

  test.prop([histories, distance, distance, later])(
    "gives a later target no better chance",
    (history, a, b, days) => {
      const { day, km } = endOf(history);
      const belief = method.believe(history);
      const near = belief.crossing(km + Math.min(a, b))(day + days);
      const far = belief.crossing(km + Math.max(a, b))(day + days);
      expect(far).toBeLessThanOrEqual(near + 1e-12);
    },
  );

  test.prop([histories, distance, later])("believes the same again", (history, ahead, days) => {
    const { day, km } = endOf(history);
    const believed = () => method.believe(history).crossing(km + ahead)(day + days);
    expect(believed()).toBe(believed());
  });

  it.each([
    { perDay: 9, every: 7, posts: 60 },
    { perDay: 20, every: 30, posts: 13 },
    { perDay: 2, every: 14, posts: 30 },
  ])("dates the due point of a steady rider: $perDay km a day, read every $every days", (rider) => {
    const history = steadyRider(rider.perDay, rider.every, rider.posts);
    const days = 120;
    const target = endOf(history).km + days * rider.perDay;
    const dated = median(method.believe(history), target, MAY_DAY) - MAY_DAY;
    expect(Math.abs(dated - days)).toBeLessThan(0.15 * days);
  });

  it("takes the declared distance, with room on both sides, from one reading on", () => {
    const history = steadyRider(10, 7, 1, { declaredKmPerYear: 7305 });
    const reached = method.believe(history).crossing(1000 + 20 * 100);
    expect(reached(MAY_DAY + 100)).toBeCloseTo(0.5, 12);
    // One spread of 0.7 of the logarithm to either side: the normal law has 0.1587 and 0.8413.
    expect(Math.abs(reached(MAY_DAY + 100 * Math.exp(-0.7)) - 0.1587)).toBeLessThan(0.01);
    expect(Math.abs(reached(MAY_DAY + 100 * Math.exp(0.7)) - 0.8413)).toBeLessThan(0.01);
  });

  it("believes no more of a meter that never moved than of one reading", () => {
    const still = method.believe(steadyRider(0, 30, 12)).crossing(1500);
    const once = method.believe(steadyRider(0, 30, 1)).crossing(1500);
    for (const days of [1, 30, 365]) expect(still(MAY_DAY + days)).toBe(once(MAY_DAY + days));
  });

  it("takes no notice of silence, of lay-ups and of the hemisphere", () => {
    const history = steadyRider(9, 7, 20);
    const layUps = [{ from: MAY_DAY, to: MAY_DAY + 200 }];
    const silent = { ...history, asOf: MAY_DAY + 90, layUps, south: true };
    const [belief, other] = [method.believe(history), method.believe(silent)];
    expect(other.crossing(3000)(MAY_DAY + 60)).toBe(belief.crossing(3000)(MAY_DAY + 60));
  });

  it("survives two readings of one instant and one within a minute", () => {
    const readings = [
      { day: 20_000, km: 100 },
      { day: 20_000, km: 160 },
      { day: 20_030.9999, km: 600 },
      { day: 20_031.0001, km: 640 },
    ];
    const history = { kind: "car", readings, asOf: 20_031.0001, layUps: [], south: false } as const;
    const reached = method.believe(history).crossing(2000);
    expect(reached(20_031.5)).toBeGreaterThanOrEqual(0);
    expect(reached(30_000)).toBeGreaterThan(0.9);
  });
});

describe("the bootstrap", () => {
  it("puts the future together from the intervals that were seen", () => {
    // Every ten days come 100 or 300 km; 200 are left. Plain arithmetic: 300 at once (1/2) takes
    // 20/3 days, 100 and then 300 (1/4) takes 40/3, 100 and then 100 (1/4) takes 20.
    const readings = Array.from({ length: 9 }, (_, i) => ({
      day: MAY_DAY + 10 * (i - 8),
      km: 200 * i + (i % 2 === 0 ? 0 : 100),
    }));
    const history = { kind: "car", readings, asOf: MAY_DAY, layUps: [], south: false } as const;
    const reached = BOOTSTRAP.believe(history).crossing(1800);
    expect(reached(MAY_DAY + 6.6)).toBe(0);
    expect(Math.abs(reached(MAY_DAY + 6.7) - 1 / 2)).toBeLessThan(0.1);
    expect(reached(MAY_DAY + 13.3)).toBe(reached(MAY_DAY + 6.7));
    expect(Math.abs(reached(MAY_DAY + 13.4) - 3 / 4)).toBeLessThan(0.1);
    expect(reached(MAY_DAY + 19.9)).toBe(reached(MAY_DAY + 13.4));
    expect(reached(MAY_DAY + 20)).toBe(1);
  });
});

describe("the gamma process", () => {
  it("agrees with the beta-prime law of a kept library", () => {
    // F(1; 2, 3) = 11/16 and F(0.5; 2, 4) = 131/243 exactly, F(0.8; 1.5, 2.5) by the library:
    // DLMF 8.17; @stdlib/stats-base-dists-betaprime-cdf 0.2.3.
    const past = (ratio: number, days: number, shape: number) =>
      betaPrimeLaw({ shapePerDay: 1, shape, km: 1 })(ratio)(days);
    expect(1 - past(1, 2, 3)).toBeCloseTo(11 / 16, 12);
    expect(1 - past(0.5, 2, 4)).toBeCloseTo(131 / 243, 12);
    expect(1 - past(0.8, 1.5, 2.5)).toBeCloseTo(0.6376992798652759, 12);
  });

  it("is the Lomax law where the shape of the distance is 1", () => {
    // Plain arithmetic: the integral of exp(-beta left) over Gamma(shape, km).
    const rate = seen(priorGammaRate(5, 0.2), { days: 40, km: 300 });
    expect(rate).toEqual({ shapePerDay: 0.2, shape: 10.5, km: 362.5 });
    expect(betaPrimeLaw(rate)(100)(5)).toBeCloseTo((1 + 100 / 362.5) ** -10.5, 12);
  });
});
