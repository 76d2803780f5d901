import { describe, expect, it } from "vitest";
import { fit as lawFrom } from "../../../src/domain/forecast/fit.ts";
import { fitHours as hoursLawFrom } from "../../../src/domain/forecast/hours.ts";
import { firstOf, lastOf } from "../../../src/domain/forecast/several.ts";
import { MAY_DAY, steadyRider } from "./histories.ts";

const law = lawFrom(steadyRider(20, 14, 20))!;
const hours = hoursLawFrom({
  kind: "other",
  asOf: MAY_DAY,
  layUps: [],
  south: false,
  readings: steadyRider(20, 14, 20).readings.map(({ day, km }) => ({ day, hours: km / 40 })),
})!;

describe("whichever comes first or last", () => {
  const distance = { law, target: law.last.km + 600 };
  const engine = { law: hours, target: hours.last.km + 30 };
  const date = { date: MAY_DAY + 20 };

  it("a date bounds the first from above and the last from below", () => {
    expect(firstOf([distance, date]).dayReached(0.9)).toBe(MAY_DAY + 20);
    expect(firstOf([distance, date]).reachedBy(MAY_DAY + 20)).toBe(1);
    expect(lastOf([distance, date]).dayReached(0.01)).toBe(MAY_DAY + 20);
    expect(lastOf([distance, date]).reachedBy(MAY_DAY + 19)).toBe(0);
  });

  it("distance and hours rise together: the nearer decides the first, the further the last", () => {
    for (const p of [0.1, 0.5, 0.9]) {
      expect(firstOf([distance, engine]).dayReached(p)).toBe(law.dayReached(distance.target, p));
      expect(lastOf([distance, engine]).dayReached(p)).toBe(hours.dayReached(engine.target, p));
    }
  });

  it("a limit that is never reached keeps the last away, not the first", () => {
    const never = { law, target: law.last.km + 10_000_000 };
    expect(firstOf([never, date]).dayReached(0.5)).toBe(MAY_DAY + 20);
    expect(lastOf([never, date]).dayReached(0.5)).toBeNull();
  });

  it("no limit is never reached", () => {
    expect(firstOf([]).dayReached(0.5)).toBeNull();
    expect(lastOf([]).dayReached(0.5)).toBeNull();
    expect(lastOf([]).reachedBy(MAY_DAY + 9999)).toBe(0);
  });
});

describe("engine hours", () => {
  it("follow the law of the distance that is ridden in them", () => {
    const total = law.last.km + 400;
    expect(hours.last.km).toBeCloseTo(law.last.km / 40, 9);
    expect(hours.reachedBy(total / 40, MAY_DAY + 21)).toBeCloseTo(
      law.reachedBy(total, MAY_DAY + 21),
      9,
    );
    expect(hours.dayReached(total / 40, 0.5)).toBeCloseTo(law.dayReached(total, 0.5)!, 5);
    expect(hours.totalToday(0.9)).toBeCloseTo(law.totalToday(0.9) / 40, 6);
    expect(hours.meanToday()).toBeCloseTo(law.meanToday() / 40, 6);
    expect(hours.perDay(0.5)).toBeCloseTo(law.perDay(0.5) / 40, 6);
    expect(hours.meanPerDay()).toBeCloseTo(law.meanPerDay() / 40, 6);
    expect(hours.leftAtMost(total / 40, 5)).toBeCloseTo(law.leftAtMost(total, 200), 9);
    expect(hours.inner.r2).toBeCloseTo(law.inner.r2 / 40, 9);
    expect(hours.passedOn(law.last.km / 40 - 1)).toBeCloseTo(law.passedOn(law.last.km - 40)!, 6);
    expect(hours.at(MAY_DAY + 40).riding().parked).toBe(0);
  });
});
