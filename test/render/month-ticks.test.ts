import { describe, expect, test } from "vitest";
import { monthTicks } from "../../src/render/month-ticks.ts";

describe("the ticks of a time axis", () => {
  test("are the firsts of months, as few as a narrow axis bears", () => {
    expect(monthTicks("2026-01-15", "2026-05-20")).toEqual([
      ...["2026-02-01", "2026-03-01", "2026-04-01", "2026-05-01"],
    ]);
    expect(monthTicks("2026-01-15", "2030-01-15")).toEqual([
      ...["2027-01-01", "2028-01-01", "2029-01-01", "2030-01-01"],
    ]);
  });

  test.each([
    ["2026-01-01", "9999-12-31"],
    ["9998-01-01", "9999-12-31"],
    ["0001-01-01", "9999-12-31"],
    ["0001-01-01", "2026-01-01"],
  ])("stay few, and come to an end: %s to %s", (start, end) => {
    const ticks = monthTicks(start, end);
    expect(ticks.length).toBeGreaterThan(0);
    expect(ticks.length).toBeLessThanOrEqual(7);
    expect(ticks.every((date) => date >= start && date <= end)).toBe(true);
  });
});
