import { fc, test } from "@fast-check/vitest";
import { describe, expect } from "vitest";
import { fit as lawFrom, type RiddenHistory } from "../../../src/domain/forecast/fit.ts";
import { VEHICLE_KINDS } from "../../../src/domain/usage/kind.ts";
import { histories, MAY_DAY, steadyRider } from "./histories.ts";

const FIFTY_YEARS = 18_262;
const chance = fc.double({ min: 0.01, max: 0.99, noNaN: true });
const distance = fc.double({ min: 1, max: 30_000, noNaN: true });
const perDay = fc.double({ min: 1, max: 150, noNaN: true });
const every = fc.double({ min: 2, max: 45, noNaN: true });
const ahead = fc.double({ min: 10, max: 90, noNaN: true });
const posts = fc.integer({ min: 2, max: 10 });
const kind = fc.constantFrom(...VEHICLE_KINDS);

describe("any machine of declared use", () => {
  const declared = fc.integer({ min: 1, max: 40_000 });
  const unit = fc.double({ min: 0.001, max: 1000, noNaN: true });

  test.prop([histories, declared, unit, distance, chance])(
    "is told the same dates in whatever unit all its distances are counted",
    (history, declaredKmPerYear, size, km, p) => {
      const inUnit: RiddenHistory = {
        ...history,
        readings: history.readings.map((reading) => ({ day: reading.day, km: reading.km * size })),
        declaredKmPerYear: declaredKmPerYear * size,
      };
      const law = lawFrom({ ...history, declaredKmPerYear })!;
      const other = lawFrom(inUnit)!;
      const target = law.last.km + km;
      const day = law.dayReached(target, p, FIFTY_YEARS);
      const sameDay = other.dayReached(target * size, p, FIFTY_YEARS);
      const chanceThen = law.reachedBy(target, law.asOf + 21);
      expect(other.reachedBy(target * size, law.asOf + 21)).toBeCloseTo(chanceThen, 7);
      // At the very horizon rounding may decide whether a date is told; the chance there agrees.
      if (day === null || sameDay === null) {
        expect(law.reachedBy(target, law.asOf + FIFTY_YEARS)).toBeLessThan(p + 1e-7);
        return;
      }
      // Where the law is flat a date is loose, and the chance on it is what has to agree.
      expect(Math.abs(law.reachedBy(target, sameDay) - law.reachedBy(target, day))).toBeLessThan(
        1e-6,
      );
    },
  );
});

describe("any steady rider", () => {
  test.prop([perDay, every, posts, ahead])(
    "is told a relatively narrower range with four times the readings",
    (rate, gap, count, days) => {
      const [few, many] = [count, 4 * count].map((readings) => {
        const law = lawFrom(steadyRider(rate, gap, readings))!;
        const [early, late] = law.daysReached(law.last.km + rate * days, [0.1, 0.9], FIFTY_YEARS);
        return Math.log((late! - MAY_DAY) / (early! - MAY_DAY));
      });
      expect(many).toBeLessThan(few!);
    },
  );

  // The middle only: with few readings the rate that is further from the kind's widens the law more,
  // which may bring its early end forward.
  test.prop([kind, perDay, every, posts, ahead])(
    "who rides twice as much is told an earlier date, by the middle of the law",
    (machine, rate, gap, count, days) => {
      const [once, twice] = [rate, 2 * rate].map((km) => {
        const law = lawFrom(steadyRider(km, gap, count, { kind: machine }))!;
        const day = law.dayReached(law.last.km + rate * days, 0.5, FIFTY_YEARS);
        return day ?? Number.POSITIVE_INFINITY;
      });
      if (twice === Number.POSITIVE_INFINITY) expect(once).toBe(twice);
      else expect(twice).toBeLessThan(once!);
    },
  );
});
