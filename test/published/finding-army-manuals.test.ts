import { describe, expect, it } from "vitest";
import { judge } from "../../src/domain/finding/judge.ts";
import { stacksOf } from "../../src/domain/finding/leaves-at-hand.ts";
import type { MeasuringPoint } from "../../src/domain/finding/point.ts";

const valve: MeasuringPoint = {
  name: "valve",
  quantity: "clearance",
  unit: "in",
  method: "feeler",
};

describe("US Army TM 1-1500-204-23-9, paragraph 3-17: two leaves whose dimensions add up", () => {
  it("makes 0.25 mm of 0.10 and 0.15 mm (the paragraph gives the rule; the figures are ours)", () => {
    expect(stacksOf([0.1, 0.15])).toContainEqual({ ticks: 250_000, pieces: [0.1, 0.15] });
    const point: MeasuringPoint = { ...valve, unit: "mm", lower: 0.25, upper: 0.3 };
    expect(judge(point, { goes: 0.2, refuses: 0.27 }, [0.1, 0.15]).tryLeaf).toBe(0.25);
  });
});

describe("US Army TM 5-3820-233-12/1: a clearance is right when one leaf passes and the next will not", () => {
  it.each([
    ["cold", 0.011, 0.013],
    ["hot", 0.008, 0.01],
  ])("%s: %d in passes, %d in will not", (_engine, lower, upper) => {
    const point = { ...valve, lower, upper };
    expect(judge(point, { goes: lower, refuses: upper }).verdict).toBe("inSpec");
    expect(judge(point, { goes: upper }).verdict).toBe("loose");
    expect(judge(point, { refuses: lower }).verdict).toBe("tight");
  });
});

describe("US Army TM 5-3810-300-24&P-3: 0.013 in passes, 0.015 in will not", () => {
  it("is in spec just so", () => {
    const point = { ...valve, lower: 0.013, upper: 0.015 };
    expect(judge(point, { goes: 0.013, refuses: 0.015 }).verdict).toBe("inSpec");
    expect(judge(point, { goes: 0.012, refuses: 0.014 })).toMatchObject({
      verdict: "undetermined",
      tryLeaf: 0.013,
    });
  });
});

describe("US Army TM 5-3895-385-23-2, table 1: limits of the running engine's valves", () => {
  const intake = { ...valve, lower: 0.006, upper: 0.015 };
  const exhaust: MeasuringPoint = { ...valve, method: "value", lower: 0.015, upper: 0.03 };
  it("judges intake pairs (limits from the table, the pairs worked by hand)", () => {
    expect(judge(intake, { goes: 0.006, refuses: 0.007 }).verdict).toBe("inSpec");
    expect(judge(intake, { goes: 0.014, refuses: 0.016 })).toMatchObject({
      verdict: "undetermined",
      tryLeaf: 0.015,
    });
  });
  it("finds an exhaust clearance of 0.031 in over its limit (value chosen by us)", () => {
    expect(judge(exhaust, { value: 0.031 }).verdict).toBe("over");
    expect(judge(exhaust, { value: 0.03 }).verdict).toBe("inSpec");
  });
  it("judges alike by the table's millimetres where they are printed exactly (0.015 in, 0.381 mm)", () => {
    const metric: MeasuringPoint = { ...valve, unit: "mm", lower: 0.381, upper: 0.762 };
    expect(judge(metric, { goes: 0.381, refuses: 0.762 }).verdict).toBe("inSpec");
    const inches = { ...exhaust, method: "feeler" as const };
    expect(judge(inches, { goes: 0.381 / 25.4, refuses: 0.762 / 25.4 }).verdict).toBe("inSpec");
  });
});
