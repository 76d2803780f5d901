import { describe, expect, test } from "vitest";
import { isoWeekDate, isoWeeksIn } from "../../src/domain/calendar/iso-week.ts";
import {
  addDays,
  addMonths,
  daysBetween,
  isPlainDate,
} from "../../src/domain/calendar/plain-date.ts";

describe("adding a duration to a date: W3C XML Schema Part 2 (second edition, 2004), appendix E", () => {
  test("its table: the date part of 2000-01-12 + P1Y3M5D is 2001-04-17", () => {
    expect(addDays(addMonths("2000-01-12", 15), 5)).toBe("2001-04-17");
  });

  test("its table: 2000-01 - P3M is 1999-10", () => {
    expect(addMonths("2000-01-01", -3)).toBe("1999-10-01");
  });

  test("its table: 2000-01-12 + PT33H is 2000-01-13", () => {
    expect(addDays("2000-01-12", Math.floor(33 / 24))).toBe("2000-01-13");
  });

  test("its text: the order matters", () => {
    expect(addMonths(addDays("2000-03-30", 1), 1)).toBe("2000-04-30");
    expect(addDays(addMonths("2000-03-30", 1), 1)).toBe("2000-05-01");
  });

  // Its rule that the day is pinned to the last of the month, worked out for these dates.
  test.each([
    ["2024-01-31", 1, "2024-02-29"],
    ["2025-01-31", 1, "2025-02-28"],
    ["2026-08-31", 6, "2027-02-28"],
    ["2024-02-29", 12, "2025-02-28"],
    ["2024-02-29", 48, "2028-02-29"],
    ["2027-11-30", 3, "2028-02-29"],
    ["2026-05-31", -3, "2026-02-28"],
  ])("its rule: %s and %i months is %s", (date, months, expected) => {
    expect(addMonths(date, months)).toBe(expected);
  });

  test("counted from the anchor the month's end returns; chained it is lost", () => {
    const anchored = [1, 2, 3, 4].map((count) => addMonths("2026-01-31", count));
    expect(anchored).toEqual(["2026-02-28", "2026-03-31", "2026-04-30", "2026-05-31"]);
    expect(addMonths(addMonths("2026-01-31", 1), 1)).toBe("2026-03-28");
  });
});

describe("week dates: ISO 8601", () => {
  test.each([
    ["1977-01-01", 1976, 53, 6],
    ["1978-01-01", 1977, 52, 7],
    ["1979-12-31", 1980, 1, 1],
    ["2005-01-01", 2004, 53, 6],
    ["2008-12-29", 2009, 1, 1],
    ["2010-01-03", 2009, 53, 7],
    ["2025-12-29", 2026, 1, 1],
    ["2026-12-31", 2026, 53, 4],
    ["2027-01-04", 2027, 1, 1],
  ])("%s is %i-W%i-%i", (date, year, week, weekday) => {
    expect(isoWeekDate(date)).toEqual({ year, week, weekday });
  });

  test("the years from 2000 to 2040 that have 53 weeks", () => {
    const years = Array.from({ length: 41 }, (_, index) => 2000 + index);
    expect(years.filter((year) => isoWeeksIn(year) === 53)).toEqual([
      2004, 2009, 2015, 2020, 2026, 2032, 2037,
    ]);
  });
});

describe("leap years: Gregorian calendar, ISO 8601", () => {
  test.each([
    [1900, false],
    [2000, true],
    [2024, true],
    [2100, false],
  ])("%i has a 29 February: %s", (year, leap) => {
    expect(isPlainDate(`${year}-02-29`)).toBe(leap);
  });

  test("three years with one 29 February are 1096 days", () => {
    expect(daysBetween("2023-11-25", "2026-11-25")).toBe(1096);
  });
});
