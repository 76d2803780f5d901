import { describe, expect, test } from "vitest";
import { isoYearStart } from "../../src/domain/calendar/iso-week.ts";
import { addDays } from "../../src/domain/calendar/plain-date.ts";
import { readTyreCode } from "../../src/domain/calendar/tyre-code.ts";

describe("a tyre's date code: 49 CFR 574.5(b)(3)", () => {
  test("its example: 0109 is Sunday 4 January to Saturday 10 January 2009", () => {
    expect(readTyreCode("0109")).toEqual({
      state: "week",
      from: "2009-01-04",
      to: "2009-01-10",
      countedBy: "regulation",
    });
  });

  // Worked out from its rule (week 01 is the first full week from Sunday to Saturday), beside the
  // Monday of the same week number under ISO 8601.
  test.each([
    ["0122", "2022-01-02", "2022-01-03"],
    ["0124", "2024-01-07", "2024-01-01"],
    ["0126", "2026-01-04", "2025-12-29"],
    ["0127", "2027-01-03", "2027-01-04"],
    ["3521", "2021-08-29", "2021-08-30"],
    ["5226", "2026-12-27", "2026-12-21"],
  ])("its rule: %s begins on %s, where the ISO week begins on %s", (code, from, isoMonday) => {
    expect(readTyreCode(code)).toMatchObject({ from, countedBy: "regulation" });
    const week = Number(code.slice(0, 2));
    const year = 2000 + Number(code.slice(2));
    expect(addDays(isoYearStart(year), 7 * (week - 1))).toBe(isoMonday);
  });

  test("its rule: the years from 2000 to 2040 that have a week 53", () => {
    const years = Array.from({ length: 41 }, (_, index) => 2000 + index).filter((year) => {
      const read = readTyreCode(`53${String(year).slice(2)}`);
      return read.state === "week" && read.countedBy === "regulation";
    });
    expect(years).toEqual([2000, 2006, 2012, 2017, 2023, 2028, 2034, 2040]);
  });

  test("four digits since 2000, three before: 64 FR 36807 (1999); three name no decade", () => {
    expect(readTyreCode("249")).toEqual({ state: "refused", reason: "decadeUnknown" });
  });
});
