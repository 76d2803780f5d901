import { fc, test } from "@fast-check/vitest";
import { describe, expect } from "vitest";
import { addMonths } from "../../../src/domain/calendar/plain-date.ts";
import { duePoint } from "../../../src/domain/due/due-point.ts";
import type { SevereUse } from "../../../src/domain/interval/task-plan.ts";
import { anyLimits, anyWork, done, dueOf, never, plan, pointOf, unknown } from "./plans.ts";

const runIn = { distance: { km: 1000, mi: 600 }, months: 1 };
const every = { distance: { km: 6000, mi: 4000 }, months: 12 };

describe("while the run-in service is pending", () => {
  test("only its limits apply, from the in-service date and from 0", () => {
    const point = pointOf({ first: runIn, every }, never);
    expect(point).toMatchObject({
      from: "first",
      occurrence: "start",
      distance: 1000,
      date: "2025-02-28",
      why: { counted: "fromStart", uncounted: [] },
    });
    expect(point.hours).toBeUndefined();
  });

  test("a machine with a meter in miles keeps the printed 600", () => {
    expect(pointOf({ first: runIn, every }, never, { meterUnit: "mi" })).toMatchObject({
      distance: 600,
      window: { early: { distance: 540 }, late: { distance: 660 } },
    });
  });

  test("it has a window of its own, whatever the recurring one is told to have", () => {
    const point = pointOf(
      { first: runIn, every, early: { distance: 500 }, late: { distance: 0, months: 2 } },
      never,
    );
    expect(point.window).toEqual({
      early: { distance: 900, date: "2025-02-25" },
      late: { distance: 1100, date: "2025-03-03" },
    });
  });

  test("a machine in use whose last work is unknown is asked about, not called due", () => {
    expect(dueOf({ first: runIn, every }, unknown)).toEqual({ state: "unknown" });
  });
});

describe("a machine bought used beyond its run-in", () => {
  const used = { distanceAtFirstReading: 25_000 };

  test("has no run-in service: no question, no reminder", () => {
    for (const last of [never, unknown]) {
      expect(dueOf({ first: runIn }, last, used)).toEqual({ state: "notApplicable" });
      expect(dueOf({ kind: "once", first: runIn }, last, used)).toEqual({ state: "notApplicable" });
    }
  });

  test("counts the recurring interval: from the start if it was never done, else it is asked", () => {
    expect(pointOf({ first: runIn, every }, never, used)).toMatchObject({
      from: "every",
      distance: 6000,
    });
    expect(dueOf({ first: runIn, every }, unknown, used)).toEqual({ state: "unknown" });
  });

  test("is one whose first reading lies beyond the run-in distance, not on it", () => {
    const first = { first: runIn, every };
    expect(pointOf(first, never, { distanceAtFirstReading: 1000 }).from).toBe("first");
    expect(pointOf(first, never, { distanceAtFirstReading: 1000.1 }).from).toBe("every");
  });

  test("is told by hours where the run-in is printed in hours alone", () => {
    const first = { first: { hours: 10 }, every: { hours: 50 } };
    expect(pointOf(first, never, { hoursAtFirstReading: 11 })).toMatchObject({ hours: 50 });
    expect(pointOf(first, never, { hoursAtFirstReading: 9 })).toMatchObject({ hours: 10 });
  });
});

describe("counted from completion", () => {
  test("each limit counts from where the work was done", () => {
    const point = pointOf({ every }, done({ on: "2025-08-31", distance: 5300 }));
    expect(point).toMatchObject({
      from: "every",
      occurrence: "work:w1",
      distance: 11_300,
      date: "2026-08-31",
      why: { counted: "fromWork" },
    });
  });

  test("an answer without a record names the occurrence by its date", () => {
    const last = { state: "done", on: "2025-08-31", distance: 5300 } as const;
    expect(pointOf({ every }, last).occurrence).toBe("work:2025-08-31");
  });

  test("a limit whose total was not noted is left out and named", () => {
    const point = pointOf({ every }, done({}));
    expect(point.distance).toBeUndefined();
    expect(point.date).toBe("2026-06-01");
    expect(point.why.uncounted).toEqual(["distance"]);
    expect(dueOf({ every: { distance: 6000 } }, done({}))).toEqual({ state: "unknown" });
  });

  test("a limit in hours stands also where the machine has no such meter", () => {
    expect(pointOf({ every: { hours: 100 } }, never)).toMatchObject({ hours: 100 });
  });

  test("months cannot be counted from the start without an in-service date", () => {
    const due = duePoint(plan({ every }), never, { meterUnit: "km" }, "2026-06-01");
    expect(due).toMatchObject({
      state: "point",
      point: { distance: 6000, why: { uncounted: ["months"] } },
    });
    const byMonths = plan({ every: { months: 12 } });
    expect(duePoint(byMonths, never, { meterUnit: "km" }, "2026-06-01").state).toBe("unknown");
  });

  test.prop([anyLimits, anyWork])("the point never lies before the work", (limits, work) => {
    const point = pointOf({ every: limits }, work);
    if (limits.distance !== undefined) expect(point.distance).toBeGreaterThan(work.distance);
    if (limits.hours !== undefined) expect(point.hours).toBeGreaterThan(work.hours);
    if (limits.months !== undefined) expect(point.date).toBe(addMonths(work.on, limits.months));
  });
});

describe("the permitted window", () => {
  test("is 10 % of the interval; of months, 10 % of the days from start to due date, rounded", () => {
    const point = pointOf({ every }, done({ on: "2025-06-01", distance: 2000 }));
    expect(point.window).toEqual({
      early: { distance: 7400, date: "2026-04-25" },
      late: { distance: 8600, date: "2026-07-08" },
    });
  });

  test("is what the task tells, limit by limit; months are counted on the calendar", () => {
    const told = { every, early: { months: 1 }, late: { distance: { km: 300, mi: 200 } } };
    expect(pointOf(told, done({ on: "2025-03-31", distance: 0 })).window).toEqual({
      early: { distance: 5400, date: "2026-02-28" },
      late: { distance: 6300, date: "2026-05-07" },
    });
  });

  test("told for a one-off belongs to that one-off", () => {
    const once = { kind: "once", first: { distance: 1000 }, early: { distance: 50 } } as const;
    expect(pointOf(once, never).window.early).toEqual({ distance: 950 });
  });
});

describe("severe use", () => {
  const severe: SevereUse = { factor: 0.5, reason: "dust", limits: ["distance"] };

  test("shortens the limits it concerns with their windows, and says so", () => {
    const point = pointOf({ every, severe, early: { distance: 400 } }, done({ distance: 0 }));
    expect(point).toMatchObject({
      distance: 3000,
      date: "2026-06-01",
      window: { early: { distance: 2800 }, late: { distance: 3300 } },
      why: { severeFactor: 0.5 },
    });
  });

  test("is not spoken of where it concerns no limit of the task", () => {
    expect(pointOf({ every: { months: 24 }, severe }, done({})).why).toEqual({
      counted: "fromWork",
      uncounted: [],
    });
  });

  test("of months leaves whole months and a share of the days of the next", () => {
    const short: SevereUse = { factor: 0.75, reason: "heat", limits: ["months"] };
    expect(pointOf({ every: { months: 6 }, severe: short }, done({})).date).toBe("2025-10-17");
  });

  test.prop([anyLimits, anyWork, fc.double({ min: 0.05, max: 1, noNaN: true }), fc.boolean()])(
    "never lengthens an interval",
    (every, work, factor, byMarks) => {
      const told = { every, repeatFrom: byMarks ? "marks" : "completion" } as const;
      const severe: SevereUse = {
        factor,
        reason: "water",
        limits: ["distance", "months", "hours"],
      };
      const last = byMarks ? never : work;
      const mild = pointOf(told, last);
      const harsh = pointOf({ ...told, severe }, last);
      expect((harsh.distance ?? 0) <= (mild.distance ?? 0)).toBe(true);
      expect((harsh.hours ?? 0) <= (mild.hours ?? 0)).toBe(true);
      expect((harsh.date ?? "") <= (mild.date ?? "")).toBe(true);
    },
  );
});

describe("a one-off", () => {
  test("is done once it was done", () => {
    expect(dueOf({ kind: "once", first: runIn }, done({}))).toEqual({ state: "done" });
    expect(dueOf({ first: runIn }, done({}))).toEqual({ state: "done" });
  });

  test("may be printed as an interval of its own", () => {
    expect(pointOf({ kind: "once", every: { distance: 20_000 } }, never).distance).toBe(20_000);
  });
});

describe("counted from manufacture", () => {
  const hose = { every: { months: 48, distance: 40_000 }, countsFrom: "manufacture" } as const;

  test("months run from when the fitted part was made, distance from the work", () => {
    const point = pointOf(hose, done({ distance: 8000, madeOn: "2024-02-29" }));
    expect(point).toMatchObject({
      distance: 48_000,
      date: "2028-02-29",
      why: { counted: "manufacture" },
    });
  });

  test("the date is left out and named while nobody knows when the part was made", () => {
    const point = pointOf(hose, done({ distance: 8000 }));
    expect(point.date).toBeUndefined();
    expect(point.why).toEqual({ counted: "fromWork", uncounted: ["months"] });
  });

  test("the part that the machine came with counts from the in-service date", () => {
    expect(pointOf(hose, never)).toMatchObject({
      date: "2029-01-31",
      why: { counted: "fromStart" },
    });
  });
});

test("a task without any limit asks rather than pretends", () => {
  expect(dueOf({ every: {} }, never)).toEqual({ state: "unknown" });
});
