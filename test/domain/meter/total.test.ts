import fc from "fast-check";
import { describe, expect, it } from "vitest";
import { futureFault } from "../../../src/domain/meter/future-fault.ts";
import { shownFor, totalOf } from "../../../src/domain/meter/total.ts";

describe("the total across meter changes", () => {
  const changes = [
    { at: 200, before: 99_990, after: 0 },
    { at: 100, before: 40_000, after: 35_000 },
  ];
  it("is what the meter shows while it was never changed, bit for bit", () => {
    expect(totalOf(0.1 + 0.2, 50, [])).toBe(0.1 + 0.2);
    expect(totalOf(12_345, 99, changes)).toBe(12_345);
  });
  it("goes on from where the old instrument stood, in whatever order the changes are told", () => {
    expect(totalOf(35_000, 100, changes)).toBe(40_000);
    expect(totalOf(99_990, 199, changes)).toBe(104_990);
    expect(totalOf(0, 200, changes)).toBe(104_990);
    expect(totalOf(10, 300, changes)).toBe(105_000);
  });
  it("stays as it was where nobody noted what the old instrument showed", () => {
    expect(totalOf(500, 300, [{ at: 200, after: 480 }])).toBe(500);
  });
  it("is told back as what the present instrument will show", () => {
    expect(shownFor(110_990, changes)).toBe(6_000);
    fc.assert(
      fc.property(fc.integer({ min: 0, max: 99_999 }), (shown) => {
        expect(shownFor(totalOf(shown, 300, changes), changes)).toBe(shown);
      }),
    );
  });
});

describe("an instant ahead of now", () => {
  it("is let pass up to five minutes, no further", () => {
    expect(futureFault(300_000, 0)).toBe(false);
    expect(futureFault(300_001, 0)).toBe(true);
    expect(futureFault(-1, 0)).toBe(false);
  });
});
