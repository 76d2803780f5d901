import { describe, expect, test } from "vitest";
import { convertDistance } from "../../src/domain/units/distance.ts";
import { figuresDisagree, lengthPairDisagrees } from "../../src/domain/units/pair.ts";

describe("exact lengths", () => {
  test("one mile is 5280 ft of 0.3048 m: NIST SP 811 (2008), appendix B.8", () => {
    expect(convertDistance(1, "mi", "km")).toBe(1.609344);
    expect(convertDistance(1609.344, "km", "mi")).toBeCloseTo(1000, 12);
  });
});

describe("pairs of inches and millimetres that official manuals print", () => {
  test.each([
    // US Army TM 5-3895-369-14, table 5-4
    [0.001, 0.025],
    [0.002, 0.051],
    [0.003, 0.076],
    [0.004, 0.102],
    [0.005, 0.127],
    [0.006, 0.152],
    [0.007, 0.178],
    [0.008, 0.203],
    // US Army TM 5-3895-385-23-2, WP 0326, table 1
    [0.015, 0.381],
    [0.03, 0.762],
    // US Army TM 10-4320-318-14
    [0.004, 0.1],
    // 49 CFR 393.47(d): 3/16, 1/4, 1/8 and 1/16 inch
    [3 / 16, 4.8],
    [1 / 4, 6.4],
    [1 / 8, 3.2],
    [1 / 16, 1.6],
  ])("%d in and %d mm agree", (inches, mm) => {
    expect(lengthPairDisagrees(mm, inches)).toBe(false);
  });

  test.each([
    [0.011, 0.028, 0.279],
    [0.023, 0.058, 0.584],
  ])(
    "%d in beside %d mm is caught, ten times too small: US Army TM 10-4320-307-24, paragraph 2-54",
    (inches, printed, right) => {
      expect(lengthPairDisagrees(printed, inches)).toBe(true);
      expect(lengthPairDisagrees(right, inches)).toBe(false);
    },
  );

  test("45 lbf·ft and 60 N·m are only rounded: same paragraph; 1.355818 N·m by NIST SP 811", () => {
    expect(figuresDisagree(60, 45, 1.355818)).toBe(false);
    expect(figuresDisagree(600, 45, 1.355818)).toBe(true);
  });
});
