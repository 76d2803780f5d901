import { fc, test } from "@fast-check/vitest";
import { describe, expect } from "vitest";
import { isUnlimited, resolveLimits } from "../../../src/domain/interval/limits.ts";

const figure = fc.integer({ min: 1, max: 100_000 });

describe("posted limits", () => {
  test.prop([figure, figure])("count by the printed figure of the meter's own unit", (km, mi) => {
    expect(resolveLimits({ distance: { km, mi } }, "km")).toEqual({ distance: km });
    expect(resolveLimits({ distance: { km, mi } }, "mi")).toEqual({ distance: mi });
  });

  test("are converted, unrounded, only where the meter's own figure is missing", () => {
    expect(resolveLimits({ distance: { mi: 600 } }, "km")).toEqual({ distance: 600 * 1.609344 });
    expect(resolveLimits({ distance: { km: 1609.344 } }, "mi").distance).toBeCloseTo(1000, 9);
  });

  test("take a bare distance as in the vehicle's unit", () => {
    expect(resolveLimits({ distance: 600, months: 1, hours: 20 }, "mi")).toEqual({
      distance: 600,
      months: 1,
      hours: 20,
    });
  });

  test("with an empty pair hold no distance", () => {
    expect(isUnlimited(resolveLimits({ distance: {} }, "km"))).toBe(true);
    expect(isUnlimited(resolveLimits({ hours: 5 }, "km"))).toBe(false);
  });
});
