import { fc, test } from "@fast-check/vitest";
import { describe, expect } from "vitest";
import { addMonths } from "../../../src/domain/calendar/plain-date.ts";
import { anyDistance, anyWork, done, machine, never, pointOf } from "./plans.ts";

const marks = { repeatFrom: "marks", every: { distance: 6000, months: 12 } } as const;
const distanceMarks = { repeatFrom: "marks", every: { distance: 6000 } } as const;

describe("printed marks", () => {
  test("stay where they are printed, each limit its own, from the in-service date and from 0", () => {
    expect(pointOf(marks, never)).toMatchObject({
      distance: 6000,
      date: "2026-01-31",
      occurrence: "mark:6000+date:2026-01-31",
      why: { counted: "mark" },
    });
  });

  test("in hours are named as hours", () => {
    const hours = { repeatFrom: "marks", every: { hours: 50 } } as const;
    expect(pointOf(hours, done({ hours: 50 })).occurrence).toBe("hours:100");
  });

  test("are covered by work at most `early` before them", () => {
    expect(pointOf(distanceMarks, done({ distance: 5399.9 })).occurrence).toBe("mark:6000");
    expect(pointOf(distanceMarks, done({ distance: 5400 })).occurrence).toBe("mark:12000");
    const narrow = { ...distanceMarks, early: { distance: 0 } };
    expect(pointOf(narrow, done({ distance: 5999.9 })).distance).toBe(6000);
    expect(pointOf(narrow, done({ distance: 6000 })).distance).toBe(12_000);
  });

  test("that were passed: the first uncovered one is due, and one piece of work covers them all", () => {
    expect(pointOf(distanceMarks, done({ distance: 6100 })).distance).toBe(12_000);
    expect(pointOf(distanceMarks, done({ distance: 19_000 })).distance).toBe(24_000);
    expect(pointOf(distanceMarks, done({ distance: 23_500 })).distance).toBe(30_000);
  });

  test("begin after the run-in service, which covers none of them", () => {
    const withRunIn = { ...distanceMarks, first: { distance: 1000 } };
    expect(pointOf(withRunIn, never)).toMatchObject({ from: "first", distance: 1000 });
    expect(pointOf(withRunIn, done({ distance: 1040 }))).toMatchObject({ distance: 6000 });
  });

  test("of the calendar are covered on their own, apart from those of the meter", () => {
    const point = pointOf(marks, done({ on: "2025-09-01", distance: 6000 }));
    expect(point).toMatchObject({ distance: 12_000, date: "2026-01-31" });
    const later = pointOf(marks, done({ on: "2025-12-26", distance: 5000 }));
    expect(later).toMatchObject({ distance: 6000, date: "2027-01-31" });
  });

  test("of the calendar have a window of the days since the mark before", () => {
    const point = pointOf(
      { repeatFrom: "marks", every: { months: 1 } },
      done({ on: "2025-05-28" }),
    );
    expect(point).toMatchObject({
      date: "2025-06-30",
      window: { early: { date: "2025-06-27" }, late: { date: "2025-07-03" } },
    });
  });

  test.prop([fc.integer({ min: 100, max: 20_000 }), anyDistance])(
    "the one due is the first that the work does not cover",
    (length, distance) => {
      const told = { repeatFrom: "marks", every: { distance: length } } as const;
      const point = pointOf(told, done({ distance }));
      const at = point.distance!;
      expect(at % length).toBe(0);
      expect(point.window.early.distance).toBeGreaterThan(distance);
      expect(at === length || at - length - length / 10 <= distance).toBe(true);
    },
  );

  test.prop([fc.integer({ min: 100, max: 20_000 }), fc.integer({ min: 1, max: 40 })])(
    "work on a mark covers that mark, in miles that were converted too",
    (miles, count) => {
      const told = { repeatFrom: "marks", every: { distance: { mi: miles } } } as const;
      let last = never;
      for (let mark = 1; mark <= count; mark++) {
        const point = pointOf(told, last);
        expect(point.distance).toBeCloseTo(mark * miles * 1.609344, 4);
        last = done({ distance: point.distance! });
      }
    },
  );

  test.prop([anyWork, fc.integer({ min: 1, max: 30 })])(
    "of the calendar count from the anchor, so that a month's end comes back",
    (work, months) => {
      const point = pointOf({ repeatFrom: "marks", every: { months } }, work);
      const anchor = machine.inServiceOn!;
      const counts = Array.from({ length: 700 }, (_, index) =>
        addMonths(anchor, (index + 1) * months),
      );
      const index = counts.indexOf(point.date!);
      expect(index).toBeGreaterThanOrEqual(0);
      expect(point.window.early.date! > work.on).toBe(true);
      if (index > 0) expect(counts[index - 1]! <= addMonths(work.on, months)).toBe(true);
    },
  );
});
