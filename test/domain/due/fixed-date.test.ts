import { fc, test } from "@fast-check/vitest";
import { describe, expect } from "vitest";
import { addDays, addMonths, daysBetween } from "../../../src/domain/calendar/plain-date.ts";
import { duePointMovesOn } from "../../../src/domain/due/due-point.ts";
import { anyDate, done, dueOf, machine, never, plan, pointOf, unknown } from "./plans.ts";

const yearly = { kind: "fixedDate", on: "2025-05-01" } as const;

describe("a fixed date", () => {
  test("has only its date, repeats every 12 months unless told, and asks for no last work", () => {
    const point = pointOf({ ...yearly, every: { distance: 500 } }, unknown, {}, "2025-03-01");
    expect(point).toEqual({
      occurrence: "date:2025-05-01",
      from: "date",
      date: "2025-05-01",
      whichever: "first",
      window: { early: { date: "2025-03-25" }, late: { date: "2025-06-07" } },
      why: { counted: "fixedDate", uncounted: [] },
    });
    const monthly = { ...yearly, on: "2026-01-31", every: { months: 1 } };
    expect(pointOf(monthly, done({ on: "2026-01-30" }), {}, "2026-02-01").date).toBe("2026-02-28");
    expect(pointOf(monthly, done({ on: "2026-02-28" }), {}, "2026-03-01").date).toBe("2026-03-31");
  });

  test("logged within the window before it gives way to the next year's at once", () => {
    expect(pointOf(yearly, done({ on: "2025-03-24" }), {}, "2025-04-01").date).toBe("2025-05-01");
    expect(pointOf(yearly, done({ on: "2025-03-25" }), {}, "2025-04-01").date).toBe("2026-05-01");
  });

  test("not logged last year still falls due this year", () => {
    for (const last of [never, unknown, done({ on: "2024-01-10" })]) {
      expect(pointOf(yearly, last, {}, "2025-09-01").occurrence).toBe("date:2025-05-01");
      expect(pointOf(yearly, last, {}, "2026-04-01").occurrence).toBe("date:2026-05-01");
      expect(pointOf(yearly, last, {}, "2030-04-01").occurrence).toBe("date:2030-05-01");
    }
  });

  test("that was missed moves on to the next half-way between them", () => {
    const movesOn = duePointMovesOn(plan(yearly), never, machine, "2025-09-01");
    expect(movesOn).toBe("2025-10-31");
    expect(pointOf(yearly, never, {}, "2025-10-30").date).toBe("2025-05-01");
    expect(pointOf(yearly, never, {}, "2025-10-31").date).toBe("2026-05-01");
  });

  test("logged late covers the date that it was late for, not the next", () => {
    expect(pointOf(yearly, done({ on: "2025-08-20" }), {}, "2025-08-20").date).toBe("2026-05-01");
  });

  test("is not shortened by severe use: the date is printed", () => {
    const severe = { factor: 0.5, reason: "dust", limits: ["months" as const] };
    expect(pointOf({ ...yearly, severe }, done({ on: "2025-05-01" }), {}, "2025-06-01").date).toBe(
      "2026-05-01",
    );
  });

  test("without a date is unknown", () => {
    expect(dueOf({ kind: "fixedDate" }, never)).toEqual({ state: "unknown" });
    expect(duePointMovesOn(plan({ kind: "fixedDate" }), never, machine, "2026-01-01")).toBeNull();
    expect(
      duePointMovesOn(plan({ every: { months: 1 } }), never, machine, "2026-01-01"),
    ).toBeNull();
  });

  test.prop([anyDate, anyDate, fc.option(anyDate), fc.integer({ min: 1, max: 36 })])(
    "is the uncovered one nearest to today, of the series counted from the printed date",
    (on, today, doneOn, months) => {
      const last = doneOn === null ? never : done({ on: doneOn });
      const told = { kind: "fixedDate", on, every: { months } } as const;
      const point = pointOf(told, last, {}, today);
      const series = Array.from({ length: 260 }, (_, count) => addMonths(on, count * months));
      const index = series.indexOf(point.date!);
      expect(index).toBeGreaterThanOrEqual(0);
      const distance = (date: string) => Math.abs(daysBetween(date, today));
      expect(distance(series[index + 1]!)).toBeGreaterThan(distance(point.date!));
      expect(doneOn === null || point.window.early.date! > doneOn).toBe(true);
      const movesOn = duePointMovesOn(plan(told), last, machine, today)!;
      expect(pointOf(told, last, {}, addDays(movesOn, -1)).date! <= point.date!).toBe(true);
      expect(pointOf(told, last, {}, movesOn).date).toBe(series[index + 1]);
    },
  );
});
