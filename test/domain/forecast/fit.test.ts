import { describe, expect, it } from "vitest";
import { fit as lawFrom } from "../../../src/domain/forecast/fit.ts";
import { KM_PER_MI } from "../../../src/domain/units/distance.ts";
import { MAY_DAY, steadyRider } from "./histories.ts";

const PS = [0.1, 0.25, 0.5, 0.75, 0.9];

describe("a steady rider", () => {
  it("reaches the due point about when the arithmetic says", () => {
    const law = lawFrom(steadyRider(20, 14, 20))!;
    const [early, , middle, , late] = law.daysReached(law.last.km + 600, PS) as number[];
    expect(middle! - MAY_DAY).toBeGreaterThan(24);
    expect(middle! - MAY_DAY).toBeLessThan(38);
    expect(early).toBeLessThan(middle!);
    expect(late).toBeGreaterThan(middle!);
    expect(law.meanPerDay()).toBeGreaterThan(15);
    expect(law.meanPerDay()).toBeLessThan(21);
  });

  it("is told a narrower range the more readings are posted", () => {
    const widths = [2, 4, 8, 16, 32].map((posts) => {
      const law = lawFrom(steadyRider(20, 14, posts))!;
      const [early, late] = law.daysReached(law.last.km + 600, [0.1, 0.9]) as number[];
      return late! - early!;
    });
    expect(widths).toEqual([...widths].sort((a, b) => b - a));
    expect(widths.at(-1)).toBeLessThan(widths[0]! / 3);
  });

  it("who doubles the rate is told earlier dates", () => {
    const steady = steadyRider(10, 10, 12);
    const quicker = {
      ...steady,
      readings: steady.readings.map((reading, i) =>
        i < 8 ? reading : { ...reading, km: reading.km + (i - 7) * 100 },
      ),
    };
    const [usual, doubled] = [lawFrom(steady)!, lawFrom(quicker)!];
    const before = usual.daysReached(usual.last.km + 2000, PS) as number[];
    const after = doubled.daysReached(doubled.last.km + 2000, PS) as number[];
    after.slice(0, 3).forEach((day, i) => {
      expect(day).toBeLessThan(before[i]!);
    });
  });

  it("is told the same days in kilometres and in miles", () => {
    const inKm = steadyRider(17, 9, 9, { kind: "motorcycle", declaredKmPerYear: 6000 });
    const inMiles = {
      ...inKm,
      readings: inKm.readings.map(({ day, km }) => ({ day, km: (km / KM_PER_MI) * KM_PER_MI })),
    };
    const [a, b] = [lawFrom(inKm)!, lawFrom(inMiles)!];
    const days = a.daysReached(6000, PS) as number[];
    const sameDays = b.daysReached((6000 / KM_PER_MI) * KM_PER_MI, PS) as number[];
    days.forEach((day, i) => {
      expect(sameDays[i]).toBeCloseTo(day, 4);
    });
  });
});

describe("few or odd readings", () => {
  const bare = { kind: "motorcycle", asOf: MAY_DAY, layUps: [], south: false } as const;

  it("none gives no forecast, nor do readings that are all still to come", () => {
    expect(lawFrom({ ...bare, readings: [] })).toBeNull();
    expect(lawFrom({ ...bare, readings: [{ day: MAY_DAY + 1, km: 5 }] })).toBeNull();
  });

  it("one is answered by what was declared, widely", () => {
    const law = lawFrom({
      ...bare,
      readings: [{ day: MAY_DAY - 10, km: 5210 }],
      declaredKmPerYear: 7305,
    })!;
    expect(law.inner).toMatchObject({ r1: 20, r2: 20, r3: 20, B: 40, gap: 30 });
    expect(law.inner.A).toBeCloseTo(0.35, 12);
    const [early, middle, late] = law.daysReached(6210, [0.1, 0.5, 0.9]) as number[];
    expect(late! - middle!).toBeGreaterThan(middle! - early!);
    expect(late! - early!).toBeGreaterThan(60);
  });

  it("a declared distance of 0 says nothing", () => {
    const readings = [{ day: MAY_DAY - 10, km: 5210 }];
    const silent = lawFrom({ ...bare, readings })!;
    const zero = lawFrom({ ...bare, readings, declaredKmPerYear: 0 })!;
    expect(zero.inner).toEqual(silent.inner);
  });

  it("a reading of 0 is a reading", () => {
    const law = lawFrom({ ...bare, readings: [{ day: MAY_DAY, km: 0 }] })!;
    expect(law.last).toEqual({ day: MAY_DAY, km: 0 });
    expect(law.dayReached(1000, 0.5)).toBeGreaterThan(MAY_DAY);
    expect(law.dayReached(0, 0.5)).toBe(MAY_DAY);
  });

  it("no use for two years puts the date far out without breaking anything", () => {
    const readings = Array.from({ length: 24 }, (_, i) => ({
      day: MAY_DAY - 30 * (23 - i),
      km: 800,
    }));
    const law = lawFrom({ ...bare, readings })!;
    const days = law.daysReached(1800, [0.1, 0.5, 0.9], 18_262);
    expect(days.every((day) => day === null || Number.isFinite(day))).toBe(true);
    expect(days[1]! - MAY_DAY).toBeGreaterThan(150);
    expect(law.meanPerDay()).toBeGreaterThan(0);
  });

  it("several on one day count once, and the highest stays", () => {
    const base = [
      { day: MAY_DAY - 20, km: 1000 },
      { day: MAY_DAY - 1, km: 1400 },
    ];
    const plain = lawFrom({ ...bare, readings: base })!;
    const crowded = lawFrom({
      ...bare,
      readings: [...base, { day: MAY_DAY - 0.9, km: 1390 }, { day: MAY_DAY - 19.5, km: 990 }],
    })!;
    expect(crowded.inner).toEqual(plain.inner);
  });

  it("a machine last heard of five years ago may have passed long since, or years from now", () => {
    const law = lawFrom(steadyRider(10, 14, 10, { kind: "motorcycle", asOf: MAY_DAY + 1826 }))!;
    const [early, late] = law.daysReached(law.last.km + 1000, [0.05, 0.95], 18_262);
    expect(early).toBeLessThan(law.asOf);
    expect(late ?? Number.POSITIVE_INFINITY).toBeGreaterThan(law.asOf + 365);
    expect(law.parked).toBe(0.9);
  });
});

describe("what lies in the past", () => {
  const law = lawFrom(steadyRider(10, 10, 5))!;

  it("is told by the readings on either side", () => {
    expect(law.passedOn(1150)).toBeCloseTo(MAY_DAY - 25, 9);
    expect(law.dayReached(1150, 0.1)).toBeCloseTo(MAY_DAY - 25, 9);
    expect(law.daysReached(1200, [0.9, 0.1])).toEqual([MAY_DAY - 20, MAY_DAY - 20]);
    expect(law.reachedBy(1150, MAY_DAY - 24)).toBe(1);
    expect(law.reachedBy(1150, MAY_DAY - 26)).toBe(0);
  });

  it("is told by the first reading where nothing is known before it, and not at all ahead", () => {
    expect(law.passedOn(10)).toBe(MAY_DAY - 40);
    expect(law.passedOn(1401)).toBeNull();
  });

  it("leaves a lay-up between the readings out", () => {
    const stored = lawFrom({
      ...steadyRider(1, 100, 2),
      layUps: [{ from: MAY_DAY - 100, to: MAY_DAY - 20 }],
    })!;
    expect(stored.passedOn(1050)).toBeGreaterThan(MAY_DAY - 13);
  });

  it("cannot be asked for a law of before the last reading", () => {
    expect(() => law.at(MAY_DAY - 1)).toThrow(RangeError);
  });
});

describe("silence", () => {
  it("raises the chance of being parked, so that the chance of passing soon rises and falls again", () => {
    const law = lawFrom(steadyRider(20, 10, 20, { kind: "motorcycle" }))!;
    const chances = [0, 20, 60, 120, 300].map((days) => {
      const later = law.at(MAY_DAY + days);
      return { parked: later.parked, soon: later.reachedBy(law.last.km + 1500, later.asOf + 21) };
    });
    const parked = chances.map((one) => one.parked);
    expect(parked).toEqual([...parked].sort((a, b) => a - b));
    const most = Math.max(...chances.map((one) => one.soon));
    expect(most).toBeGreaterThan(chances[0]!.soon);
    expect(chances.at(-1)!.soon).toBeLessThan(most);
  });

  it("moves the dates out, but not those of the machine taken as going on", () => {
    const law = lawFrom(steadyRider(20, 10, 20, { kind: "motorcycle" }))!.at(MAY_DAY + 90);
    const target = law.last.km + 4000;
    expect(law.parked).toBeGreaterThan(0.5);
    expect(law.riding().dayReached(target, 0.5)).toBeLessThan(law.dayReached(target, 0.5)! - 30);
  });

  it("of a rider who posts at each filling is standing still, but not by the floor's law", () => {
    const readings = [0, 4, 15, 18, 43, 49, 63, 66, 90, 96].map((day, i) => ({
      day: MAY_DAY - 96 + day,
      km: 1000 + 200 * i,
    }));
    const filling = lawFrom({ kind: "car", readings, asOf: MAY_DAY, layUps: [], south: false })!;
    const late = filling.at(MAY_DAY + 90);
    const target = filling.last.km + 1500;
    expect(late.dayReached(target, 0.5)).toBeGreaterThan(filling.dayReached(target, 0.5)! + 20);
    expect(late.riding().dayReached(target, 0.5)).toBe(filling.riding().dayReached(target, 0.5));
  });

  it("in a lay-up is no silence", () => {
    const history = steadyRider(20, 10, 20, { kind: "motorcycle" });
    const stored = lawFrom({ ...history, layUps: [{ from: MAY_DAY, to: MAY_DAY + 150 }] })!;
    const loose = lawFrom(history)!;
    expect(stored.at(MAY_DAY + 150).parked).toBeLessThan(loose.at(MAY_DAY + 150).parked);
  });
});

describe("a machine that is no average one", () => {
  it("is not expected to become one again after a quiet month", () => {
    const busy = steadyRider(60, 14, 40, { kind: "bicycle" });
    const quiet = { day: MAY_DAY + 30, km: busy.readings.at(-1)!.km + 60 };
    const law = lawFrom({ ...busy, readings: [...busy.readings, quiet], asOf: quiet.day })!;
    // 2,000 km a year, the kind's, would take 400 days for 2,200 km; its own 60 km a day five weeks.
    expect(law.dayReached(law.last.km + 2200, 0.5)! - quiet.day).toBeLessThan(120);
  });

  it("is never sure of its rate, however long it was steady", () => {
    const law = lawFrom(steadyRider(20, 7, 200, { kind: "motorcycle" }))!;
    expect(law.inner.A).toBeGreaterThanOrEqual(0.05);
    expect(law.inner.A).toBeLessThan(0.08);
  });

  it("follows its fleet while it is new, and itself later", () => {
    const fleet = [45, 55, 50, 48, 60].map((rate) => steadyRider(rate, 14, 26).readings);
    const newcomer = steadyRider(10, 14, 1);
    const old = steadyRider(10, 14, 26);
    const days = (machine: typeof old, others: typeof fleet | undefined) => {
      const law = lawFrom({ ...machine, fleet: others })!;
      return law.dayReached(law.last.km + 1000, 0.5)! - MAY_DAY;
    };
    expect(days(newcomer, fleet)).toBeLessThan(days(newcomer, undefined) / 3);
    expect(days(old, fleet)).toBeGreaterThan(70);
    expect(days(old, fleet) / days(old, undefined)).toBeGreaterThan(0.7);
  });

  it("that was declared to be ridden little is taken at that word, whatever the fleet does", () => {
    const fleet = [45, 55, 50, 48, 60].map((rate) => steadyRider(rate, 14, 26).readings);
    const law = lawFrom({ ...steadyRider(10, 14, 1), fleet, declaredKmPerYear: 3652.5 })!;
    expect(law.inner.r2).toBeCloseTo(10, 9);
  });
});

describe("lay-ups ahead", () => {
  const history = steadyRider(20, 10, 20);
  const free = lawFrom(history)!;

  it("move the dates behind them by about their length", () => {
    const law = lawFrom({ ...history, layUps: [{ from: MAY_DAY + 5, to: MAY_DAY + 105 }] })!;
    const target = law.last.km + 600;
    const moved = law.dayReached(target, 0.5)! - free.dayReached(target, 0.5)!;
    expect(moved).toBeGreaterThan(95);
    expect(moved).toBeLessThanOrEqual(100);
  });

  it("without a known end leave no date within the horizon", () => {
    const law = lawFrom({ ...history, layUps: [{ from: MAY_DAY, to: null }] })!;
    const target = law.last.km + 2000;
    expect(law.dayReached(target, 0.5)).toBeNull();
    expect(law.dayReached(target, 0.5, 18_262)).toBeGreaterThan(MAY_DAY + 3650);
  });
});

describe("the horizon", () => {
  it("is ten years unless more is asked for", () => {
    const law = lawFrom(steadyRider(0.5, 30, 20))!;
    const far = law.last.km + 0.5 * 365 * 20;
    expect(law.dayReached(far, 0.9)).toBeNull();
    const day = law.dayReached(far, 0.9, 18_262)!;
    expect(day - MAY_DAY).toBeGreaterThan(3650);
    expect(law.dayReached(far, 0.9, day - MAY_DAY - 1)).toBeNull();
    expect(law.dayReached(far, 0.9, day - MAY_DAY + 1)).toBeCloseTo(day, 3);
  });
});
