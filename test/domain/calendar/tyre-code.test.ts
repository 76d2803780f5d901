import { fc, test } from "@fast-check/vitest";
import { describe, expect } from "vitest";
import { daysBetween, isoWeekday } from "../../../src/domain/calendar/plain-date.ts";
import { readTyreCode } from "../../../src/domain/calendar/tyre-code.ts";

describe("a tyre's date code", () => {
  test("with a week 53 that only ISO 8601 knows is read as the ISO week", () => {
    expect(readTyreCode("5326")).toEqual({
      state: "week",
      from: "2026-12-28",
      to: "2027-01-03",
      countedBy: "iso",
    });
  });

  test("with a week 53 that no count knows is read as the last week of that year", () => {
    expect(readTyreCode("5324")).toMatchObject({ from: "2024-12-29", countedBy: "lastWeek" });
  });

  test.each(["0021", "5421", "9921"])("%s names no week", (code) => {
    expect(readTyreCode(code)).toEqual({ state: "refused", reason: "noSuchWeek" });
  });

  test.each(["", "24", "24211", "2a21", "2421 "])("%j is not four digits", (code) => {
    expect(readTyreCode(code)).toEqual({ state: "refused", reason: "notFourDigits" });
  });

  test.prop([fc.integer({ min: 1, max: 52 }), fc.integer({ min: 0, max: 99 })])(
    "of weeks 1 to 52 always names the seven days from a Sunday, in its own year",
    (week, year) => {
      const two = (value: number) => String(value).padStart(2, "0");
      const read = readTyreCode(two(week) + two(year));
      if (read.state !== "week") throw new Error("refused");
      expect(isoWeekday(read.from)).toBe(7);
      expect(daysBetween(read.from, read.to)).toBe(6);
      expect(read.from.slice(0, 4)).toBe(`20${two(year)}`);
    },
  );
});
