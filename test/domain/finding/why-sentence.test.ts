import { describe, expect, it } from "vitest";
import { judge } from "../../../src/domain/finding/judge.ts";
import type { Measurement, MeasuringPoint } from "../../../src/domain/finding/point.ts";
import { whySentence } from "../../../src/domain/finding/why-sentence.ts";

const inlet: MeasuringPoint = {
  name: "inlet",
  quantity: "clearance",
  method: "feeler",
  lower: 0.1,
  upper: 0.15,
};
const because = (point: MeasuringPoint, found: Measurement, leaves?: readonly number[]) =>
  whySentence(judge(point, found, leaves).why);

describe("the reason of a judgement", () => {
  it("names the limits with their unit", () => {
    expect(because(inlet, { goes: 0.12, refuses: 0.13 })).toBe(
      "0.12 mm goes in, 0.13 mm does not: within the limits, 0.10 to 0.15 mm.",
    );
    expect(because(inlet, { refuses: 0.1 })).toBe(
      "0.10 mm does not go in: tighter than the limits, 0.10 to 0.15 mm.",
    );
    expect(because(inlet, { goes: 0.15 })).toBe(
      "0.15 mm goes in: the leaf of the upper limit must not go in; looser than the limits, 0.10 to 0.15 mm.",
    );
  });
  it("names what settles an open pair", () => {
    expect(because(inlet, { goes: 0.08, refuses: 0.12 })).toBe(
      "0.08 mm goes in, 0.12 mm does not: the gap may lie on either side of the lower limit (limits 0.10 to 0.15 mm). Try a leaf of 0.10 mm next.",
    );
    expect(because(inlet, { goes: 0.08, refuses: 0.12 }, [0.04, 0.06])).toContain(
      "Try the leaves of 0.04 mm and 0.06 mm stacked, 0.10 mm together next.",
    );
    expect(because(inlet, { goes: 0.08, refuses: 0.12 }, [0.1])).toContain(
      "Try the leaf of 0.10 mm next.",
    );
    expect(because(inlet, { goes: 0.14, refuses: 0.16 }, [0.14, 0.16])).toContain(
      "No leaf at hand tells more; one of 0.15 mm would settle that limit.",
    );
  });
  it("tells a value in its unit, as finely as it was given", () => {
    const point: MeasuringPoint = { name: "pad", quantity: "thickness", method: "value", lower: 2 };
    expect(because(point, { value: 1.875 })).toBe(
      "1.875 mm is below the limits, at least 2.00 mm.",
    );
    const tank: MeasuringPoint = { name: "tank", quantity: "percent", method: "value", upper: 20 };
    expect(because(tank, { value: 25 })).toBe("25% is above the limits, at most 20%.");
    expect(because(tank, { value: 20 })).toBe("20% is within the limits, at most 20%.");
    expect(because({ ...tank, upper: undefined }, { value: 20 })).toBe(
      "20% was found; the point has no limit to hold it against.",
    );
    expect(because({ ...inlet, lower: undefined, upper: undefined }, { goes: 0.1 })).toBe(
      "The point has no limit to hold the leaves against.",
    );
  });
  it("says of a look and of a statement no more than they say", () => {
    const hose: MeasuringPoint = { name: "hose", quantity: "condition", method: "look" };
    expect(because(hose, { look: "replace" })).toBe("Looked at: to be replaced.");
    expect(because(inlet, { stated: true })).toBe(
      "Stated to be in spec; the figure was not noted.",
    );
  });
});
