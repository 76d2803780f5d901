import { fc, test } from "@fast-check/vitest";
import { describe, expect } from "vitest";
import { fit as lawFrom } from "../../../src/domain/forecast/fit.ts";
import { firstOf, lastOf } from "../../../src/domain/forecast/several.ts";
import { histories } from "./histories.ts";

const chance = fc.double({ min: 0.01, max: 0.99, noNaN: true });
const distance = fc.double({ min: 0, max: 30_000, noNaN: true });
const later = fc.double({ min: 0, max: 4000, noNaN: true });
const never = Number.POSITIVE_INFINITY;
/** A ten-thousandth of a day and of the time gone: what the root search leaves open, with room. */
const slack = (day: number) => (day === never ? 0 : 1e-4 + 1e-6 * Math.abs(day));

describe("the law of any machine", () => {
  test.prop([histories, distance, later, later])(
    "never takes back a chance as time goes by",
    (history, km, a, b) => {
      const law = lawFrom(history)!;
      const target = law.last.km + km;
      const [early, late] = [Math.min(a, b), Math.max(a, b)];
      const before = law.reachedBy(target, law.asOf + early);
      const after = law.reachedBy(target, law.asOf + late);
      expect(before).toBeGreaterThanOrEqual(0);
      expect(after).toBeLessThanOrEqual(1 + 1e-12);
      expect(after).toBeGreaterThanOrEqual(before - 1e-12);
    },
  );

  test.prop([histories, distance, distance, later])(
    "gives a longer distance no better chance",
    (history, a, b, days) => {
      const law = lawFrom(history)!;
      const [near, far] = [law.last.km + Math.min(a, b), law.last.km + Math.max(a, b)];
      const day = law.asOf + days;
      expect(law.reachedBy(far, day)).toBeLessThanOrEqual(law.reachedBy(near, day) + 1e-12);
    },
  );

  test.prop([histories, distance, distance, chance])(
    "never reaches a later threshold earlier",
    (history, a, b, p) => {
      const law = lawFrom(history)!;
      const near = law.dayReached(law.last.km + Math.min(a, b), p, 18_262) ?? never;
      const far = law.dayReached(law.last.km + Math.max(a, b), p, 18_262) ?? never;
      expect(far).toBeGreaterThanOrEqual(near - slack(near));
    },
  );

  test.prop([histories, distance, fc.array(chance, { minLength: 2, maxLength: 9 })])(
    "tells dates that never fall in their probability, and keeps the order asked for",
    (history, km, ps) => {
      const law = lawFrom(history)!;
      const days = law.daysReached(law.last.km + km, ps);
      const pairs = ps.map((p, i) => ({ p, day: days[i] ?? never })).sort((x, y) => x.p - y.p);
      for (let i = 1; i < pairs.length; i++) {
        expect(pairs[i]!.day).toBeGreaterThanOrEqual(pairs[i - 1]!.day);
      }
    },
  );

  test.prop([histories, distance, chance])(
    "meets the asked probability on the day that it tells",
    (history, km, p) => {
      const law = lawFrom(history)!;
      const target = law.last.km + 1 + km;
      const day = law.dayReached(target, p);
      if (day === null) {
        expect(law.reachedBy(target, law.asOf + 3650)).toBeLessThan(p);
        return;
      }
      expect(law.reachedBy(target, day + 0.01)).toBeGreaterThanOrEqual(p - 1e-6);
      // Half an hour after the last reading is the earliest that is told.
      if (day > law.last.day + 3)
        expect(law.reachedBy(target, day - 0.01)).toBeLessThanOrEqual(p + 1e-6);
    },
  );

  test.prop([histories, chance])(
    "tells today's total so that its own chance agrees",
    (history, p) => {
      const law = lawFrom(history)!;
      const total = law.totalToday(p);
      expect(total).toBeGreaterThanOrEqual(law.last.km);
      if (total > law.last.km + 0.01) {
        expect(law.reachedBy(total, law.asOf)).toBeCloseTo(1 - p, 5);
      }
      expect(law.meanToday()).toBeGreaterThanOrEqual(law.last.km);
      expect(law.perDay(p)).toBeGreaterThanOrEqual(0);
      expect(law.meanPerDay()).toBeGreaterThanOrEqual(0);
    },
  );

  test.prop([histories, chance, chance])(
    "tells totals and usage that never fall in their probability",
    (history, a, b) => {
      const law = lawFrom(history)!;
      const [low, high] = [Math.min(a, b), Math.max(a, b)];
      expect(law.totalToday(high)).toBeGreaterThanOrEqual(law.totalToday(low) - 1e-5);
      expect(law.perDay(high)).toBeGreaterThanOrEqual(law.perDay(low) - 1e-5);
    },
  );

  test.prop([histories, distance, distance])(
    "is surer of a shorter distance left being more",
    (history, km, a) => {
      const law = lawFrom(history)!;
      const target = law.last.km + km;
      expect(law.leftAtMost(target, a)).toBeGreaterThanOrEqual(
        law.leftAtMost(target, a / 2) - 1e-12,
      );
      expect(law.leftAtMost(target, km + 1)).toBe(1);
      expect(law.leftAtMost(target, 0)).toBe(law.reachedBy(target, law.asOf));
    },
  );

  test.prop([histories, distance])(
    "comes out the same bit for bit, whatever the order of the readings",
    (history, km) => {
      const law = lawFrom(history)!;
      const again = lawFrom({ ...history, readings: [...history.readings].reverse() })!;
      const target = law.last.km + km;
      const ps = [0.1, 0.5, 0.9];
      expect(again.daysReached(target, ps)).toEqual(law.daysReached(target, ps));
      expect(again.inner).toEqual(law.inner);
    },
  );

  test.prop([histories, later])(
    "seen from later is what a fit at that moment gives",
    (any, days) => {
      // What the fleet has posted since would be news.
      const fleet = any.fleet?.map((readings) => readings.filter(({ day }) => day <= any.asOf));
      const history = { ...any, fleet };
      const law = lawFrom(history)!;
      const moved = law.at(law.asOf + days);
      const anew = lawFrom({ ...history, asOf: law.asOf + days })!;
      expect(moved.inner).toEqual(anew.inner);
      expect(moved.totalToday(0.5)).toBe(anew.totalToday(0.5));
      expect(moved.dayReached(law.last.km + 500, 0.5)).toBe(
        anew.dayReached(law.last.km + 500, 0.5),
      );
    },
  );

  test.prop([histories, distance, later])(
    "holds the law of a machine that surely goes on with the weight of not being parked",
    (history, km, days) => {
      const law = lawFrom(history)!;
      const riding = law.riding();
      const [target, day] = [law.last.km + km, law.asOf + days];
      expect(riding.parked).toBe(0);
      expect(riding.at(day).parked).toBe(0);
      const share = (1 - law.parked) * riding.reachedBy(target, day);
      expect(law.reachedBy(target, day)).toBeGreaterThanOrEqual(share - 1e-12);
    },
  );
});

describe("several limits of any machine", () => {
  test.prop([histories, distance, distance, later, chance])(
    "the first comes no later and the last no earlier than each of them",
    (history, a, b, days, p) => {
      const law = lawFrom(history)!;
      const limits = [
        { law, target: law.last.km + a },
        { law, target: law.last.km + b },
        { date: law.asOf + days },
      ];
      const [first, last] = [firstOf(limits), lastOf(limits)];
      const each = limits.map((limit) => firstOf([limit]));
      const day = law.asOf + days / 2;
      for (const one of each) {
        expect(first.reachedBy(day)).toBeGreaterThanOrEqual(one.reachedBy(day));
        expect(last.reachedBy(day)).toBeLessThanOrEqual(one.reachedBy(day));
        expect(first.dayReached(p) ?? never).toBeLessThanOrEqual(one.dayReached(p) ?? never);
        expect(last.dayReached(p) ?? never).toBeGreaterThanOrEqual(one.dayReached(p) ?? never);
      }
    },
  );
});
