import { describe, expect, it } from "vitest";
import { clockOf } from "../../../src/domain/usage/clock.ts";
import { habitOf } from "../../../src/domain/usage/habit.ts";
import { riddenBetween } from "../../../src/domain/usage/interval-ridden.ts";
import { learnSeason } from "../../../src/domain/usage/learn-season.ts";
import { ratesOf } from "../../../src/domain/usage/rates.ts";
import { scatterOf } from "../../../src/domain/usage/scatter.ts";
import { NO_SEASON, typicalSeason } from "../../../src/domain/usage/season.ts";
import { type Track, trackUntil } from "../../../src/domain/usage/track.ts";
import { usualGap } from "../../../src/domain/usage/usual-gap.ts";
import { priorRate } from "../../../src/domain/usage/yearly-distance.ts";

const flat = clockOf(NO_SEASON, []);

function track(...points: [number, number][]): Track {
  return trackUntil(
    points.map(([day, km]) => ({ day, km })),
    Number.POSITIVE_INFINITY,
  )!;
}

describe("rates", () => {
  const intervals = riddenBetween(track([0, 0], [120, 120], [240, 2520]), flat);

  it("all equal the prior where nothing was ridden between two readings yet", () => {
    expect(ratesOf([], habitOf("motorcycle"), 11, false)).toEqual({
      r1: 11,
      r2: 11,
      r3: 11,
      evidence: 0,
    });
  });

  it("follow the last intervals the more, the shorter their memory", () => {
    const { r1, r2, r3 } = ratesOf(intervals, habitOf("motorcycle"), 5, false);
    expect(r1).toBeGreaterThan(r2);
    expect(r2).toBeGreaterThan(r3);
    expect(r1).toBeLessThan(20);
  });

  it("a car has no other rate now than this season's", () => {
    const { r1, r2 } = ratesOf(intervals, habitOf("car"), 5, false);
    expect(r1).toBe(r2);
  });

  it("a declared distance weighs more than the kind's", () => {
    const declared = ratesOf(intervals, habitOf("motorcycle"), 5, true).r3;
    const kinds = ratesOf(intervals, habitOf("motorcycle"), 5, false).r3;
    expect(Math.abs(declared - 5)).toBeLessThan(Math.abs(kinds - 5));
    expect(priorRate("moped", 7305)).toBe(20);
    expect(priorRate("moped", undefined)).toBeCloseTo(2500 / 365.25, 12);
  });
});

describe("scatter", () => {
  it("of a rider as steady as the prior shrinks towards none", () => {
    const steady = riddenBetween(track([0, 0], [10, 100], [20, 200], [30, 300]), flat);
    expect(scatterOf(steady, 10, 40)).toBeCloseTo((0.4 * 40) / 3.4, 12);
  });

  it("is worked out by hand for one interval of 10 days at twice the average", () => {
    // average (400 + 30 x 8)/(10 + 30) = 16, z = 400/160 - 1 = 1.5
    const ridden = [{ clockDays: 10, km: 400, age: 5 }];
    expect(scatterOf(ridden, 8, 40)).toBeCloseTo((0.4 * 40 + 1.5 * 1.5 * 10) / 1.4, 12);
  });

  it("leaves out intervals of less than a day", () => {
    const ridden = [{ clockDays: 0.5, km: 400, age: 5 }];
    expect(scatterOf(ridden, 8, 40)).toBeCloseTo(40, 12);
  });
});

describe("the usual gap", () => {
  const gaps = (...days: number[]) => days.map((clockDays) => ({ clockDays, km: 0, age: 0 }));

  it("is the upper median of the last eight intervals, at least ten days", () => {
    expect(usualGap(gaps(20, 40))).toBe(40);
    expect(usualGap(gaps(3, 5, 4))).toBe(10);
    expect(usualGap(gaps(99, 99, 99, 99, 11, 12, 13, 14, 15, 16, 17, 18))).toBe(15);
  });

  it("is a month before there is any", () => {
    expect(usualGap([])).toBe(30);
  });
});

describe("a learned season", () => {
  const typical = typicalSeason("car", false);
  const summerDriver = (years: number) => {
    const points: [number, number][] = [[19_358, 0]];
    for (let month = 1; month <= 12 * years; month++) {
      const riding = month % 12 >= 4 && month % 12 <= 9;
      const [day, km] = points.at(-1)!;
      points.push([day + 365.2425 / 12, km + (riding ? 1500 : 50)]);
    }
    return track(...points);
  };

  it("stays the typical one before a year was seen, and without distance", () => {
    expect(learnSeason(typical, track([0, 0], [100, 900], [364, 3000]), 300)).toBe(typical);
    expect(learnSeason(typical, track([0, 0], [400, 0], [800, 0]), 300)).toBe(typical);
  });

  it("leans to the months in which the machine is driven, the more the longer it is known", () => {
    const [two, six] = [2, 6].map((years) => learnSeason(typical, summerDriver(years), 300));
    expect(two![6]).toBeGreaterThan(1.1);
    expect(six![6]).toBeGreaterThan(two![6]!);
    expect(six![0]).toBeLessThan(two![0]!);
    expect(six!.reduce((sum, share) => sum + share, 0)).toBeCloseTo(12, 12);
  });
});
