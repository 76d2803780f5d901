import { fc, test } from "@fast-check/vitest";
import { Temporal } from "temporal-polyfill";
import { describe, expect } from "vitest";
import { isoWeekDate, isoYearStart } from "../../../src/domain/calendar/iso-week.ts";
import {
  addDays,
  addMonths,
  dateOfDay,
  dayNumber,
  daysBetween,
  isoWeekday,
  isPlainDate,
} from "../../../src/domain/calendar/plain-date.ts";
import { dateAt, isTimeZone, startOfDay } from "../../../src/domain/calendar/zone.ts";

const endOfTime = (months: number) => (months > 0 ? "9999-12-31" : "0001-01-01");
const days = fc.integer({ min: -200_000, max: 200_000 });

describe("a plain date", () => {
  test.each([
    "2026-02-29",
    "2026-13-01",
    "0000-01-01",
    "2026-1-1",
    "2026-01-01T00:00",
    " 2026-01-01",
  ])("is not %j", (text) => {
    expect(isPlainDate(text)).toBe(false);
  });

  test.prop([days])("and its day number stand for each other", (day) => {
    expect(isPlainDate(dateOfDay(day))).toBe(true);
    expect(dayNumber(dateOfDay(day))).toBe(day);
  });

  test.prop([days, fc.integer({ min: -9999, max: 9999 })])(
    "lies as many days off as were added",
    (day, count) => {
      expect(daysBetween(dateOfDay(day), addDays(dateOfDay(day), count))).toBe(count);
    },
  );

  test.prop([days, fc.integer({ min: 0, max: 600 })])(
    "keeps its day of the month or falls on the month's end when months are added",
    (day, months) => {
      const date = dateOfDay(day);
      const added = addMonths(date, months);
      const isMonthEnd = addDays(added, 1).endsWith("-01");
      expect(
        added.slice(8) === date.slice(8) || (isMonthEnd && added.slice(8) < date.slice(8)),
      ).toBe(true);
    },
  );

  const years1to9999 = fc.integer({ min: -719_000, max: 2_900_000 });

  test.prop([years1to9999, fc.integer({ min: -1000, max: 1000 })])(
    "and a calendar library agree on added months",
    (day, months) => {
      const date = dateOfDay(day);
      const added = Temporal.PlainDate.from(date).add({ months }).toString();
      expect(addMonths(date, months)).toBe(isPlainDate(added) ? added : endOfTime(months));
    },
  );

  test("stays within the years that can be written", () => {
    expect(addMonths("9999-12-31", 1)).toBe("9999-12-31");
    expect(addMonths("0001-01-31", -1)).toBe("0001-01-01");
    expect(addMonths("2026-01-31", 1e300)).toBe("9999-12-31");
    expect(addDays("9999-12-31", 1)).toBe("9999-12-31");
    expect(addDays("0001-01-01", -1)).toBe("0001-01-01");
  });

  test("has no part of a month added unasked", () => {
    expect(() => addMonths("2026-01-31", 0.5)).toThrow(RangeError);
  });

  test.prop([fc.stringMatching(/^\d{4}-[01]\d-[0-3]\d$/)])(
    "exists exactly when a calendar library knows it",
    (text) => {
      const known = () => {
        try {
          return Temporal.PlainDate.from(text, { overflow: "reject" }).year >= 1;
        } catch {
          return false;
        }
      };
      expect(isPlainDate(text)).toBe(known());
    },
  );

  test.prop([days])("is found again from its ISO week", (day) => {
    const date = dateOfDay(day);
    const { year, week, weekday } = isoWeekDate(date);
    expect(addDays(isoYearStart(year), 7 * (week - 1) + weekday - 1)).toBe(date);
    expect(weekday).toBe(isoWeekday(date));
  });
});

describe("a time zone", () => {
  test("is an IANA name, not an offset and not an invention", () => {
    expect(["Europe/Berlin", "UTC"].every(isTimeZone)).toBe(true);
    expect(["+02:00", "", "Nowhere/Town", "2"].some(isTimeZone)).toBe(false);
  });

  const zones = ["UTC", "Europe/Berlin", "America/Santiago", "Pacific/Chatham", "Asia/Kathmandu"];

  test.prop([fc.integer({ min: 10_957, max: 25_000 }), fc.constantFrom(...zones)])(
    "begins each day at its first instant",
    (day, zone) => {
      const start = startOfDay(dateOfDay(day), zone);
      expect(dateAt(start, zone)).toBe(dateOfDay(day));
      expect(dateAt(start - 1, zone)).toBe(dateOfDay(day - 1));
    },
  );
});
