import fc from "fast-check";
import { describe, expect, it } from "vitest";
import type { Outlook } from "../../../src/domain/reminder/outlook.ts";
import { HORIZON_DAYS, type Lead, stageMoments } from "../../../src/domain/reminder/stages.ts";
import { aheadThreshold, thresholdsFor } from "../../../src/domain/reminder/thresholds.ts";
import { at, DAY, NOW } from "./example-task.ts";
import { datedOutlook, type SimulatedRider, simulatedOutlook } from "./simulated-outlook.ts";

const TODAY = NOW / DAY;
const thresholds = thresholdsFor();
const moments = (outlook: Outlook, lead: Lead = { days: 21 }, now = NOW, zone = "Europe/Berlin") =>
  stageMoments(outlook, lead, now, zone, thresholds);

describe("the threshold weighs too late against too early", () => {
  it("is 0.3 at seven to three, one half when both cost the same, lower the dearer late is", () => {
    expect(aheadThreshold()).toBeCloseTo(0.3, 12);
    expect(aheadThreshold(1)).toBe(0.5);
    expect(aheadThreshold(9)).toBeCloseTo(0.1, 12);
  });
});

describe("a date", () => {
  it("is announced the lead before it, is due as it begins, overdue after the permitted window", () => {
    const { ahead, due, overdue } = moments(datedOutlook("2026-08-01", "2026-08-15"));
    expect(ahead).toEqual({ at: at("2026-07-10T22:00:00Z"), by: "calendar" });
    expect(due).toEqual({ at: at("2026-07-31T22:00:00Z"), by: "calendar" });
    expect(overdue).toEqual({ at: at("2026-08-15T22:00:00Z"), by: "calendar" });
  });

  it("of 29 February is announced on 8 February", () => {
    const now = at("2028-01-01T00:00:00Z");
    const { ahead, due } = moments(datedOutlook("2028-02-29"), { days: 21 }, now, "Europe/London");
    expect(ahead?.at).toBe(at("2028-02-08T00:00:00Z"));
    expect(due?.at).toBe(at("2028-02-29T00:00:00Z"));
  });

  it("begins when the day does where midnight is skipped", () => {
    const { due } = moments(datedOutlook("2026-09-06"), { days: 21 }, NOW, "America/Santiago");
    expect(due?.at).toBe(at("2026-09-06T04:00:00Z"));
  });

  it("already within its lead speaks now; one beyond the horizon does not speak yet", () => {
    expect(moments(datedOutlook("2026-05-10")).ahead?.at).toBe(NOW);
    expect(moments(datedOutlook("2026-04-10")).due?.at).toBe(NOW);
    expect(moments(datedOutlook("2036-05-10"))).toEqual({ ahead: null, due: null, overdue: null });
  });
});

const steady: SimulatedRider = { lastDay: TODAY, median: 80, spread: 0.15, odds: 0, gap: 14 };

describe("a forecast", () => {
  it("speaks when the due point is reached within the lead at the threshold", () => {
    const outlook = simulatedOutlook(steady);
    const { ahead } = moments(outlook);
    const day = (ahead?.at ?? 0) / DAY;
    expect(ahead?.by).toBe("forecast");
    expect(outlook.reached(day, day + 21)).toBeGreaterThanOrEqual(thresholds.ahead);
    expect(outlook.reached(day - 1, day + 20)).toBeLessThan(thresholds.ahead);
  });

  it("is due once more likely than not, overdue once the window is", () => {
    const { due, overdue } = moments(simulatedOutlook({ ...steady, lateFactor: 1.1 }));
    expect(Math.abs((due?.at ?? 0) / DAY - (TODAY + 80))).toBeLessThanOrEqual(1);
    expect(Math.abs((overdue?.at ?? 0) / DAY - (TODAY + 88))).toBeLessThanOrEqual(1);
  });

  it("gives way to a reading, which is certain now", () => {
    const outlook = simulatedOutlook(steady, { reachedByReading: true, pastByReading: true });
    const now = { at: NOW, by: "reading" };
    expect(moments(outlook)).toEqual({ ahead: now, due: now, overdue: now });
  });

  it("speaks by the distance left where that lead comes first", () => {
    const byDays = moments(simulatedOutlook(steady), { days: 3 });
    const byBoth = moments(simulatedOutlook(steady), { days: 3, distance: 600 });
    expect(byBoth.ahead?.by).toBe("distanceLeft");
    expect(byBoth.ahead?.at).toBeLessThan(byDays.ahead?.at ?? 0);
  });

  it("gives way to a date that comes first", () => {
    const outlook = simulatedOutlook(steady, { dueDate: "2026-06-10" });
    expect(moments(outlook).ahead).toEqual({ at: at("2026-05-19T22:00:00Z"), by: "calendar" });
    expect(moments(outlook).due?.by).toBe("calendar");
  });
});

describe("a silent rider", () => {
  const silent: SimulatedRider = { lastDay: TODAY, median: 150, spread: 0.2, odds: 0.4, gap: 10 };

  it("whose probability never reaches the threshold is reminded as one who rides on", () => {
    const outlook = simulatedOutlook(silent);
    for (let day = TODAY; day < TODAY + HORIZON_DAYS; day += 1) {
      expect(outlook.reached(day, day + 21)).toBeLessThan(thresholds.ahead);
    }
    const { ahead } = moments(outlook);
    expect(ahead?.by).toBe("ridingOn");
    expect(Math.abs((ahead?.at ?? 0) / DAY - (TODAY + 150 - 21))).toBeLessThanOrEqual(1);
  });

  it("is not told that the work is due", () => {
    expect(moments(simulatedOutlook(silent))).toMatchObject({ due: null, overdue: null });
  });
});

const riders = fc.record({
  lastDay: fc.double({ min: TODAY - 60, max: TODAY, noNaN: true }),
  median: fc.double({ min: 1, max: 700, noNaN: true }),
  lateFactor: fc.double({ min: 1, max: 1.5, noNaN: true }),
  spread: fc.double({ min: 0.08, max: 0.8, noNaN: true }),
  odds: fc.oneof(fc.constant(0), fc.double({ min: 0.01, max: 0.6, noNaN: true })),
  gap: fc.double({ min: 7, max: 90, noNaN: true }),
});
const leads = fc.integer({ min: 0, max: 60 });

/** The first day of a plain scan, day by day. */
function scanned(speaks: (day: number) => boolean): number | null {
  if (speaks(TODAY)) return TODAY;
  for (let day = Math.floor(TODAY) + 1; day <= Math.floor(TODAY) + HORIZON_DAYS; day += 1) {
    if (speaks(day)) return day;
  }
  return null;
}

describe("against a scan day by day", () => {
  it("`ahead` by days speaks on the very day of a steady rider, for any lead", () => {
    fc.assert(
      fc.property(riders, leads, (rider, days) => {
        const outlook = simulatedOutlook({ ...rider, odds: 0 });
        const day = scanned((d) => outlook.reached(d, d + days) >= thresholds.ahead);
        const { ahead } = moments(outlook, { days });
        expect(ahead === null ? null : ahead.at / DAY).toBe(day);
      }),
    );
  });

  it("`ahead` never comes later than the floor, nor earlier than any rule speaks", () => {
    fc.assert(
      fc.property(riders, leads, (rider, days) => {
        const outlook = simulatedOutlook(rider);
        const riding = (d: number) => outlook.reachedRiding(TODAY, d + days) >= thresholds.floor;
        const reached = (d: number) => outlook.reached(d, d + days) >= thresholds.ahead;
        const [floor, first] = [scanned(riding), scanned((d) => riding(d) || reached(d))];
        const { ahead } = moments(outlook, { days });
        if (floor !== null) expect(ahead?.at).toBeLessThanOrEqual(floor * DAY);
        if (ahead === null) expect(floor).toBeNull();
        else expect(ahead.at).toBeGreaterThanOrEqual((first ?? 0) * DAY);
      }),
    );
  });

  it("finds the rise before the fall: the first day itself, in all but brief peaks", () => {
    const brief = 8;
    fc.assert(
      fc.property(riders, leads, (rider, days) => {
        const outlook = simulatedOutlook(rider);
        const rules = [
          (d: number) => outlook.reached(d, d + days) >= thresholds.ahead,
          (d: number) => outlook.reached(d, d) >= thresholds.likely,
        ] as const;
        const found = moments(outlook, { days });
        for (const [rule, moment] of [
          [rules[0], found.ahead],
          [rules[1], found.due],
        ] as const) {
          const first = scanned(rule);
          if (first === null || moment?.at === first * DAY || moment?.by === "ridingOn") continue;
          let lasts = first;
          while (rule(lasts) && lasts < first + 400) lasts += 1;
          expect(lasts - first).toBeLessThan(Math.max(brief, (first - TODAY) * 0.1));
        }
      }),
      { numRuns: 300 },
    );
  });
});

describe("for every rider and lead", () => {
  it("no moment lies before now and each stage follows the one before", () => {
    fc.assert(
      fc.property(riders, leads, (rider, days) => {
        const { due, overdue } = moments(simulatedOutlook(rider), { days });
        expect(due?.at ?? NOW).toBeGreaterThanOrEqual(NOW);
        expect(overdue?.at ?? Number.POSITIVE_INFINITY).toBeGreaterThanOrEqual(due?.at ?? NOW);
      }),
    );
  });

  it("a longer lead never speaks later", () => {
    fc.assert(
      fc.property(riders, leads, leads, (rider, a, b) => {
        const ofLead = (days: number) =>
          moments(simulatedOutlook({ ...rider, odds: 0 }), { days }).ahead?.at ?? Number.MAX_VALUE;
        expect(ofLead(Math.max(a, b))).toBeLessThanOrEqual(ofLead(Math.min(a, b)));
      }),
    );
  });

  it("the same data worked out again later give the same moment", () => {
    fc.assert(
      fc.property(riders, leads, fc.integer({ min: 1, max: 40 }), (rider, days, waited) => {
        const outlook = simulatedOutlook({ ...rider, odds: 0 });
        const first = moments(outlook, { days }).ahead;
        fc.pre(first !== null && first.at > NOW + (waited + 1) * DAY);
        expect(moments(outlook, { days }, NOW + waited * DAY).ahead).toEqual(first);
      }),
    );
  });

  it("takes few looks at the outlook", () => {
    const looks: number[] = [];
    fc.assert(
      fc.property(riders, leads, (rider, days) => {
        const outlook = simulatedOutlook(rider);
        moments(outlook, { days });
        looks.push(outlook.evaluations);
      }),
      { numRuns: 500 },
    );
    const mean = looks.reduce((sum, n) => sum + n, 0) / looks.length;
    expect(mean).toBeLessThan(40);
    expect(Math.max(...looks)).toBeLessThan(60);
  });
});
