import { fc, test } from "@fast-check/vitest";
import { describe, expect, it } from "vitest";
import { clockOf } from "../../../src/domain/usage/clock.ts";
import { VEHICLE_KINDS } from "../../../src/domain/usage/kind.ts";
import { DAYS_PER_YEAR, NO_SEASON, typicalSeason } from "../../../src/domain/usage/season.ts";

const aDay = fc.double({ min: -2000, max: 40_000, noNaN: true });
const layUps = fc.array(
  fc
    .record({ from: fc.integer({ min: 0, max: 30_000 }), days: fc.integer({ min: -5, max: 400 }) })
    .map(({ from, days }) => ({ from, to: from + days })),
  { maxLength: 6 },
);
const season = fc
  .record({ kind: fc.constantFrom(...VEHICLE_KINDS), south: fc.boolean() })
  .map(({ kind, south }) => typicalSeason(kind, south));

describe("the riding clock", () => {
  test.prop([season, layUps, aDay])("is turned back into days exactly", (speeds, pauses, day) => {
    const clock = clockOf(speeds, pauses);
    expect(clock.dayAt(clock.at(day))).toBeCloseTo(day, 6);
  });

  test.prop([season, layUps, aDay, aDay])("always runs forward", (speeds, pauses, a, b) => {
    const clock = clockOf(speeds, pauses);
    const [early, late] = [Math.min(a, b), Math.max(a, b)];
    fc.pre(late > early + 1e-6);
    expect(clock.at(late)).toBeGreaterThan(clock.at(early));
  });

  test.prop([season, aDay])("shows a year a year, whatever the season", (speeds, day) => {
    const clock = clockOf(speeds, []);
    expect(clock.at(day + DAYS_PER_YEAR) - clock.at(day)).toBeCloseTo(DAYS_PER_YEAR, 6);
  });

  it("without a season or lay-ups is the calendar", () => {
    expect(clockOf(NO_SEASON, []).at(20_574.25)).toBeCloseTo(20_574.25, 9);
  });

  it("runs at a fiftieth of its speed in a lay-up, counted once where two overlap", () => {
    const clock = clockOf(NO_SEASON, [
      { from: 150, to: 300 },
      { from: 100, to: 200 },
      { from: 400, to: 400 },
    ]);
    expect(clock.at(100)).toBeCloseTo(100, 9);
    expect(clock.at(200)).toBeCloseTo(102, 9);
    expect(clock.at(500)).toBeCloseTo(304, 9);
    expect(clock.dayAt(102)).toBeCloseTo(200, 9);
  });

  it("stays slow for good in a lay-up without an end", () => {
    const clock = clockOf(NO_SEASON, [{ from: 100, to: null }]);
    expect(clock.at(5100)).toBeCloseTo(200, 9);
    expect(clock.dayAt(200)).toBeCloseTo(5100, 6);
  });
});

describe("seasons", () => {
  it("have a mean of 1", () => {
    for (const kind of VEHICLE_KINDS) {
      const sum = typicalSeason(kind, false).reduce((total, share) => total + share, 0);
      expect(sum).toBeCloseTo(12, 12);
    }
  });

  it("are turned by half a year in the south", () => {
    const [north, south] = [typicalSeason("motorcycle", false), typicalSeason("motorcycle", true)];
    expect(south[0]).toBe(north[6]);
    expect(south[7]).toBe(north[1]);
  });
});
