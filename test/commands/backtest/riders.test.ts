import { describe, expect, it } from "vitest";
import { HABITS, simulatedFleet, simulatedRider } from "../../../src/commands/backtest/riders.ts";
import { dayPassed, totalOn } from "../../../src/commands/backtest/series.ts";

const riders = Array.from({ length: 160 }, (_, n) => simulatedRider(n + 1));

describe("simulated riders", () => {
  it("come out the same for the same seed", () => {
    expect(simulatedRider(17)).toEqual(simulatedRider(17));
    expect(simulatedRider(17)).not.toEqual(simulatedRider(25));
  });

  it("are of every habit", () => {
    expect(new Set(riders.map(({ group }) => group))).toEqual(new Set(HABITS));
  });

  it("never ride backwards, nor post more than the meter showed", () => {
    for (const { posted, truth } of riders) {
      expect(posted.length).toBeGreaterThan(0);
      truth.forEach((point, i) => {
        expect(point.km).toBeGreaterThanOrEqual(truth[i - 1]?.km ?? 0);
      });
      posted.forEach((point, i) => {
        expect(point.km).toBeGreaterThanOrEqual(posted[i - 1]?.km ?? 0);
        expect(point.km).toBeLessThanOrEqual(totalOn(truth, point.day) + 1e-9);
      });
    }
  });

  it("ride about as far as is published of their kind, very unevenly", () => {
    // NHTSA DOT HS 813 288 (2022): motorcycles about 3,200 km a year, skewed.
    const yearly = riders
      .filter(({ kind }) => kind === "motorcycle")
      .map(({ truth }) => (truth.at(-1)!.km - truth[0]!.km) / ((truth.length - 1) / 365.25))
      .sort((a, b) => a - b);
    const mean = yearly.reduce((sum, km) => sum + km, 0) / yearly.length;
    expect(mean).toBeGreaterThan(2200);
    expect(mean).toBeLessThan(5000);
    expect(yearly[Math.floor(yearly.length / 2)]!).toBeLessThan(mean);
  });

  it("stand still in a lay-up that they declare", () => {
    const stored = riders.filter(({ layUps }) => layUps.length > 0);
    expect(stored.length).toBeGreaterThan(3);
    for (const { layUps, truth } of stored) {
      for (const { from, to } of layUps) {
        expect(totalOn(truth, to ?? 0)).toBe(totalOn(truth, from));
      }
    }
  });

  it("make fleets of machines that are alike and not the same", () => {
    const fleet = simulatedFleet(3, 12);
    expect(fleet).toHaveLength(12);
    expect(new Set(fleet.map(({ kind }) => kind)).size).toBe(1);
    const ridden = fleet.map(({ truth }) => truth.at(-1)!.km - truth[0]!.km);
    expect(new Set(ridden).size).toBe(12);
  });
});

describe("a series' truth", () => {
  const truth = [
    { day: 0, km: 100 },
    { day: 10, km: 100 },
    { day: 20, km: 300 },
  ];

  it("tells when a total was passed, and what was shown on a day", () => {
    expect(dayPassed(truth, 200)).toBe(15);
    expect(dayPassed(truth, 100)).toBe(0);
    expect(dayPassed(truth, 301)).toBeNull();
    expect(totalOn(truth, 5)).toBe(100);
    expect(totalOn(truth, 15)).toBe(200);
    expect(totalOn(truth, 99)).toBe(300);
  });
});
