import { expect, test } from "vitest";
import { firstUncoveredDate } from "../../../src/domain/due/date-point.ts";

test("work that was done on the last day there is leaves no date uncovered, and the search ends", () => {
  const yearly = { months: 12, early: undefined, late: undefined };
  const count = firstUncoveredDate("9990-05-01", "9999-12-31", yearly, 0);
  expect(count).toBeGreaterThanOrEqual(9);
  expect(count).toBeLessThanOrEqual(11);
});
