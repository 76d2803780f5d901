import { describe, expect, it } from "vitest";
import { DAYS_PER_YEAR } from "../../src/domain/usage/season.ts";

describe("the year of the riding clock", () => {
  it("is the mean year of the Gregorian calendar", () => {
    // 146,097 days in 400 years: the Gregorian rule of leap years (ISO 8601), by count.
    const days = (Date.UTC(2400, 0, 1) - Date.UTC(2000, 0, 1)) / 86_400_000;
    expect(days).toBe(146_097);
    expect(DAYS_PER_YEAR).toBe(days / 400);
  });
});
