import { fc, test as property } from "@fast-check/vitest";
import { expect, test } from "vitest";
import { spread } from "../../src/render/chart/spread.ts";

test("labels with room stay where they belong, those that touch are centred on it", () => {
  expect(spread([50, 100, 104], 11, [0, 200])).toEqual([50, 96.5, 107.5]);
});

property.prop([fc.array(fc.integer({ min: 0, max: 200 }), { maxLength: 12 })])(
  "labels keep their order, their distance and the bounds",
  (heights) => {
    const sorted = [...heights].sort((a, b) => a - b);
    const apart = spread(sorted, 11, [0, 200]);
    expect(apart).toHaveLength(sorted.length);
    for (const [index, height] of apart.entries()) {
      expect(height).toBeGreaterThanOrEqual(5.5 - 1e-9);
      expect(height).toBeLessThanOrEqual(194.5 + 1e-9);
      if (index > 0) expect(height - (apart[index - 1] ?? 0)).toBeGreaterThanOrEqual(11 - 1e-9);
    }
  },
);
