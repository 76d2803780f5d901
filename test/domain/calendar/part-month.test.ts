import { fc, test } from "@fast-check/vitest";
import { describe, expect } from "vitest";
import { addMonthsAndPart, monthsApart } from "../../../src/domain/calendar/part-month.ts";
import { addMonths, dateOfDay } from "../../../src/domain/calendar/plain-date.ts";

const dates = fc.integer({ min: 0, max: 40_000 }).map(dateOfDay);
const months = fc.double({ min: -240, max: 240, noNaN: true });

describe("months with a part", () => {
  test("half of a month is half of the days of the month that follows", () => {
    expect(addMonthsAndPart("2026-01-31", 4.5)).toBe("2026-06-15");
    expect(addMonthsAndPart("2026-03-31", -0.5)).toBe("2026-03-15");
  });

  test.prop([dates, fc.integer({ min: -240, max: 240 })])(
    "are calendar months where there is no part",
    (date, whole) => {
      expect(addMonthsAndPart(date, whole)).toBe(addMonths(date, whole));
    },
  );

  test.prop([dates, months, months])("never give an earlier date for more", (date, a, b) => {
    const [fewer, more] = [Math.min(a, b), Math.max(a, b)];
    expect(addMonthsAndPart(date, fewer) <= addMonthsAndPart(date, more)).toBe(true);
  });

  test.prop([dates, fc.integer({ min: -240, max: 240 })])(
    "are told apart by the month alone",
    (date, whole) => {
      expect(monthsApart(date, addMonths(date, whole))).toBe(whole);
    },
  );
});
