import { describe, expect, it } from "vitest";
import { measurementFault, pointFault } from "../../../src/domain/finding/measurement-fault.ts";
import type { MeasuringPoint } from "../../../src/domain/finding/point.ts";

const feeler: MeasuringPoint = {
  name: "inlet",
  quantity: "clearance",
  method: "feeler",
  lower: 0.1,
  upper: 0.15,
};
const value: MeasuringPoint = { ...feeler, method: "value" };
const look: MeasuringPoint = { name: "hose", quantity: "condition", method: "look" };

describe("a measurement that can be judged", () => {
  it.each([
    [feeler, { goes: 0.1, refuses: 0.12 }],
    [feeler, { goes: 0.1 }],
    [feeler, { refuses: 0.1 }],
    [value, { value: 0 }],
    [look, { look: "sound" as const }],
    [feeler, { stated: true as const }],
    [{ ...value, quantity: "voltage" as const }, { value: -12 }],
  ])("has no fault (%#)", (point, found) => {
    expect(measurementFault(point, found)).toBeNull();
  });
});

describe("a measurement that cannot be judged", () => {
  it.each([
    [feeler, { goes: 0.15, refuses: 0.15 }, "/goes", /thinner than the one that refuses/],
    [feeler, { goes: 0.1 + 0.2, refuses: 0.3 }, "/goes", /thinner/],
    [feeler, {}, "", /goes.*refuses.*or both/],
    [feeler, { goes: -0.1 }, "/goes", /0 or thicker/],
    [feeler, { refuses: 0 }, "/refuses", /thicker than 0/],
    [feeler, { value: 0.12 }, "/value", /\{ goes, refuses \}/],
    [feeler, { look: "sound" as const }, "/look", /feeler leaves/],
    [value, { goes: 0.1 }, "/goes", /\{ value \}/],
    [value, { value: -1 }, "/value", /0 or more/],
    [value, { value: Number.NaN }, "/value", /0 or more/],
    [look, { refuses: 0.1 }, "/refuses", /sound, watch or replace/],
  ])("is told where and what would be right (%#)", (point, found, pointer, detail) => {
    const fault = measurementFault(point, found);
    expect(fault?.pointer).toBe(pointer);
    expect(fault?.detail).toMatch(detail);
  });
});

describe("a point", () => {
  it("keeps its upper limit above its lower one", () => {
    expect(pointFault(feeler)).toBeNull();
    expect(pointFault({ ...value, lower: 0.15 })).toBeNull();
    expect(pointFault({ ...value, lower: 0.2 })?.pointer).toBe("/upper");
    expect(pointFault({ ...feeler, lower: 0.15 })?.pointer).toBe("/upper");
  });
  it("is measured with leaves only in a unit of length, and with leaves that are there", () => {
    expect(pointFault({ ...feeler, unit: "V" })?.pointer).toBe("/unit");
    expect(pointFault({ ...feeler, leaves: [0.1, 0] })?.pointer).toBe("/leaves/1");
  });
});
