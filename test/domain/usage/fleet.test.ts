import { describe, expect, it } from "vitest";
import { lentBy } from "../../../src/domain/usage/fleet.ts";
import { NO_SEASON } from "../../../src/domain/usage/season.ts";

const kind = { rate: 10, rateVariance: 1.2, scatter: 40, season: NO_SEASON };
const TODAY = 20_574;

/** A machine that was read each fortnight for so many days, ridden `perDay` km a day. */
function machine(perDay: number, days = 364) {
  return Array.from({ length: days / 14 + 1 }, (_, i) => ({
    day: TODAY - days + 14 * i,
    km: 500 + 14 * i * perDay,
  }));
}

describe("what a fleet lends to a new machine", () => {
  it("is what the kind says where there is no other machine, or none that tells anything", () => {
    expect(lentBy([], kind, TODAY)).toBe(kind);
    expect(lentBy([[{ day: TODAY - 9, km: 7 }], machine(0), machine(30, 14)], kind, TODAY)).toBe(
      kind,
    );
  });

  it("is nearer to the fleet's own rate, and surer, the more machines agree", () => {
    const [one, five, twenty] = [1, 5, 20].map((count) =>
      lentBy(
        Array.from({ length: count }, () => machine(60)),
        kind,
        TODAY,
      ),
    );
    expect(one!.rate).toBeGreaterThan(10);
    expect(five!.rate).toBeGreaterThan(one!.rate);
    expect(twenty!.rate).toBeGreaterThan(50);
    expect(twenty!.rate).toBeLessThan(60);
    expect(five!.rateVariance).toBeLessThan(one!.rateVariance);
    expect(twenty!.rateVariance).toBeLessThan(five!.rateVariance);
    expect(twenty!.scatter).toBeLessThan(kind.scatter / 4);
  });

  it("stays unsure where the machines differ", () => {
    const alike = lentBy(
      [40, 50, 60, 50, 40, 60].map((rate) => machine(rate)),
      kind,
      TODAY,
    );
    const unlike = lentBy(
      [5, 160, 20, 60, 8, 120].map((rate) => machine(rate)),
      kind,
      TODAY,
    );
    expect(unlike.rateVariance).toBeGreaterThan(2 * alike.rateVariance);
  });

  it("is worked out by hand for one machine", () => {
    // 364 days at 60 km: scatter (0.4 x 40 + sum z^2 x 14)/(26.4), average (21840 + 300)/394.
    const average = (364 * 60 + 30 * 10) / 394;
    const scatter = (0.4 * 40 + 26 * 14 * (60 / average - 1) ** 2) / 26.4;
    const weight = 1.2 / (1.2 + scatter / 364);
    const mean = (2 * Math.log(10) + weight * Math.log(60)) / (2 + weight);
    const lent = lentBy([machine(60)], kind, TODAY);
    expect(Math.log(lent.rate)).toBeCloseTo(mean, 9);
    expect(lent.scatter).toBeCloseTo(Math.exp((2 * Math.log(40) + Math.log(scatter)) / 3), 9);
    const between = (2 * 1.2 + weight * (Math.log(60) - mean) ** 2) / (2 + weight);
    expect(lent.rateVariance).toBeCloseTo(between * (1 + 1 / (2 + weight)), 9);
  });

  it("has a season of mean 1 that leans to when the fleet is ridden", () => {
    const summers = Array.from({ length: 10 }, () => {
      const points = [{ day: TODAY - 720, km: 0 }];
      for (let n = 1; n <= 72; n += 1) {
        const day = TODAY - 720 + 10 * n;
        const month = new Date(day * 86_400_000).getUTCMonth();
        points.push({ day, km: points.at(-1)!.km + (month >= 4 && month <= 8 ? 400 : 20) });
      }
      return points;
    });
    const { season } = lentBy(summers, kind, TODAY);
    expect(season.reduce((sum, share) => sum + share, 0)).toBeCloseTo(12, 9);
    expect(season[6]).toBeGreaterThan(1.5);
    expect(season[0]).toBeLessThan(0.6);
  });

  it("leaves out what was read later than it is asked for", () => {
    expect(lentBy([machine(60)], kind, TODAY - 400)).toBe(kind);
  });
});

it("two readings around midnight, with no time between them, spoil nothing that is lent", () => {
  const [first, ...rest] = machine(60);
  const before = { day: first!.day + 7 - 1e-13, km: first!.km + 100 };
  const after = { day: first!.day + 7, km: first!.km + 400 };
  const lent = lentBy([[first!, before, after, ...rest]], kind, TODAY);
  expect(Number.isFinite(lent.rate) && Number.isFinite(lent.scatter)).toBe(true);
  expect(lent.season.every(Number.isFinite)).toBe(true);
});
