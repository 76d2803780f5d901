import fc from "fast-check";
import { describe, expect, it } from "vitest";
import { measuringPlan, type PlanStep } from "../../../src/domain/finding/measuring-plan.ts";
import type { MeasuringPoint } from "../../../src/domain/finding/point.ts";

const exhaust: MeasuringPoint = {
  name: "exhaust",
  quantity: "clearance",
  method: "feeler",
  lower: 0.2,
  upper: 0.25,
};

describe("a measuring plan", () => {
  it("needs two tries where both limits are at hand, the lower first", () => {
    const plan = measuringPlan(exhaust, [0.1, 0.15, 0.2, 0.25, 0.3]);
    expect(plan.order.map((leaf) => leaf.thickness)).toEqual([0.2, 0.25]);
    expect(plan.first).toMatchObject({
      thickness: 0.2,
      ifRefuses: "tight",
      ifGoes: { thickness: 0.25, ifRefuses: "inSpec", ifGoes: "loose" },
    });
    expect(plan.mostTries).toBe(2);
  });
  it("begins at the upper limit where wear opens the gap", () => {
    const plan = measuringPlan({ ...exhaust, wear: "up" }, [0.2, 0.25]);
    expect(plan.first).toMatchObject({ thickness: 0.25, ifGoes: "loose" });
    expect(measuringPlan({ ...exhaust, wear: "down" }, [0.2, 0.25]).first).toMatchObject({
      thickness: 0.2,
      ifRefuses: "tight",
    });
  });
  it("asks for the limits where no leaves are told", () => {
    const plan = measuringPlan(exhaust);
    expect(plan.order).toEqual([
      { thickness: 0.2, pieces: [0.2], atHand: false },
      { thickness: 0.25, pieces: [0.25], atHand: false },
    ]);
  });
  it("stacks two leaves to make a limit up", () => {
    const plan = measuringPlan(exhaust, [0.05, 0.15, 0.2]);
    expect(plan.order.map((leaf) => leaf.pieces)).toEqual([[0.2], [0.05, 0.2]]);
  });
  it("needs one try where there is one limit, and none where no leaf tells anything", () => {
    expect(measuringPlan({ ...exhaust, lower: undefined }, [0.25]).mostTries).toBe(1);
    expect(measuringPlan({ ...exhaust, lower: undefined, upper: undefined }, [0.25])).toEqual({
      first: null,
      order: [],
      mostTries: 0,
    });
  });
  it("proves a gap in spec in two tries where the limits cannot be made up exactly", () => {
    const plan = measuringPlan(exhaust, [0.19, 0.21, 0.24, 0.26]);
    expect(plan.first).toMatchObject({ thickness: 0.21, ifGoes: { thickness: 0.24 } });
    expect(plan.first?.ifGoes).toMatchObject({ ifRefuses: "inSpec" });
    expect(plan.mostTries).toBe(3);
  });
  it("refuses a unit that no leaf has", () => {
    expect(() => measuringPlan({ ...exhaust, unit: "V" })).toThrow(RangeError);
  });

  const leaves = fc.uniqueArray(
    fc.integer({ min: 1, max: 60 }).map((n) => n / 100),
    { minLength: 1, maxLength: 10 },
  );
  it("ends at the truth or at undetermined, within four tries, whatever the gap", () => {
    fc.assert(
      fc.property(leaves, fc.integer({ min: 0, max: 600 }), (atHand, thousandths) => {
        const gap = thousandths / 1000;
        let at: PlanStep | string | null = measuringPlan(exhaust, atHand).first;
        let tries = 0;
        while (at !== null && typeof at !== "string") {
          at = at.thickness <= gap + 1e-9 ? at.ifGoes : at.ifRefuses;
          tries++;
        }
        const truth = gap < 0.2 ? "tight" : gap >= 0.25 ? "loose" : "inSpec";
        expect(["undetermined", truth, null]).toContain(at);
        expect(tries).toBeLessThanOrEqual(4);
      }),
    );
  });
});
