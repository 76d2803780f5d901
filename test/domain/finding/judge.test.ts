import fc from "fast-check";
import { describe, expect, it } from "vitest";
import { judge } from "../../../src/domain/finding/judge.ts";
import type { MeasuringPoint } from "../../../src/domain/finding/point.ts";

const inlet: MeasuringPoint = {
  name: "inlet",
  quantity: "clearance",
  method: "feeler",
  lower: 0.1,
  upper: 0.15,
};
const pad: MeasuringPoint = { name: "pad", quantity: "thickness", method: "value", lower: 1.5 };

describe("a value against its limits", () => {
  const play = { ...pad, lower: 20, upper: 30 };
  it.each([
    [19.999, "under"],
    [20, "inSpec"],
    [30, "inSpec"],
    [30.001, "over"],
  ])("%d mm with limits 20 to 30 is %s", (value, verdict) => {
    expect(judge(play, { value }).verdict).toBe(verdict);
  });
  it("is open where a limit is absent", () => {
    expect(judge(pad, { value: 99 }).verdict).toBe("inSpec");
    expect(judge(pad, { value: 1.4 }).verdict).toBe("under");
    expect(judge({ ...play, lower: undefined }, { value: 0 }).verdict).toBe("inSpec");
  });
  it("stands on its limit although the sum of two figures carries a binary error", () => {
    expect(0.1 + 0.2).not.toBe(0.3);
    const point = { ...pad, lower: undefined, upper: 0.3 };
    expect(judge(point, { value: 0.1 + 0.2 }).verdict).toBe("inSpec");
  });
  it("is undetermined where there is no limit to hold it against", () => {
    const judged = judge({ ...pad, lower: undefined }, { value: 3 });
    expect(judged).toMatchObject({ verdict: "undetermined", why: { code: "noLimits", value: 3 } });
  });
  it("is judged in volts as in millimetres", () => {
    const battery: MeasuringPoint = {
      name: "battery",
      quantity: "voltage",
      method: "value",
      lower: 12.4,
    };
    expect(judge(battery, { value: 12.39 }).verdict).toBe("under");
    expect(judge(battery, { value: 12.4 }).why).toMatchObject({ limits: { unit: "V" } });
  });
});

describe("a feeler pair against limits 0.10 to 0.15 mm", () => {
  it.each([
    [0.1, 0.15, "inSpec"],
    [0.12, 0.13, "inSpec"],
    [0.08, 0.1, "tight"],
    [0.15, 0.16, "loose"],
    [0.09, 0.11, "undetermined"],
    [0.14, 0.16, "undetermined"],
  ])("%d goes, %d refuses: %s", (goes, refuses, verdict) => {
    expect(judge(inlet, { goes, refuses }).verdict).toBe(verdict);
  });
  it("leaves the other end open when one leaf is given", () => {
    expect(judge(inlet, { refuses: 0.1 }).verdict).toBe("tight");
    expect(judge(inlet, { goes: 0.15 }).verdict).toBe("loose");
    expect(judge(inlet, { goes: 0.12 }).verdict).toBe("undetermined");
    expect(judge({ ...inlet, upper: undefined }, { goes: 0.1 }).verdict).toBe("inSpec");
    expect(judge({ ...inlet, lower: undefined }, { refuses: 0.15 }).verdict).toBe("inSpec");
  });
  it("judges the common practice example: upper 0.13, 0.13 refuses, the next leaf down goes", () => {
    const point = { ...inlet, lower: 0.08, upper: 0.13 };
    expect(judge(point, { goes: 0.12, refuses: 0.13 }).verdict).toBe("inSpec");
  });
});

describe("the leaf that settles an undetermined pair", () => {
  it("is the limit itself where no leaves are told, the lower first", () => {
    expect(judge(inlet, { goes: 0.05, refuses: 0.2 }).tryLeaf).toBe(0.1);
    expect(judge(inlet, { goes: 0.05, refuses: 0.2 }, []).tryLeaf).toBe(0.1);
    expect(judge(inlet, { goes: 0.12, refuses: 0.2 }).tryLeaf).toBe(0.15);
    expect(judge(inlet, { goes: 0.12 }).tryLeaf).toBe(0.15);
    expect(judge(inlet, { refuses: 0.12 }).tryLeaf).toBe(0.1);
  });
  it("is two leaves stacked where no single one is the limit, and exactly their sum", () => {
    const exhaust = { ...inlet, lower: 0.25, upper: 0.3 };
    const judged = judge(exhaust, { goes: 0.2, refuses: 0.3 }, [0.05, 0.1, 0.15, 0.2, 0.3]);
    expect(judged).toMatchObject({
      tryLeaf: 0.25,
      why: { code: "gapStraddles", open: "lower", next: { pieces: [0.05, 0.2], atHand: true } },
    });
    expect(judge(exhaust, { goes: 0.2, refuses: 0.3 }, [0.1, 0.15]).tryLeaf).toBe(0.25);
  });
  it("is a single leaf rather than two of the same thickness together", () => {
    const judged = judge(inlet, { goes: 0.05, refuses: 0.12 }, [0.04, 0.06, 0.1]);
    expect(judged.why).toMatchObject({ next: { pieces: [0.1] } });
  });
  it("proves the gap in spec where the limit itself cannot be made up", () => {
    expect(judge(inlet, { goes: 0.08, refuses: 0.12 }, [0.08, 0.09, 0.11, 0.12]).tryLeaf).toBe(
      0.11,
    );
  });
  it("is none where no leaf at hand lies inside what is known", () => {
    const judged = judge(inlet, { goes: 0.09, refuses: 0.11 }, [0.09, 0.11]);
    expect(judged.verdict).toBe("undetermined");
    expect(judged.tryLeaf).toBeUndefined();
    expect(judged.why).toMatchObject({ open: "lower", next: null });
  });
  it("comes from the point's own leaves unless others are handed in", () => {
    const point = { ...inlet, leaves: [0.04, 0.06] };
    expect(judge(point, { goes: 0.06, refuses: 0.12 }).why).toMatchObject({
      next: { pieces: [0.04, 0.06] },
    });
    expect(judge(point, { goes: 0.06, refuses: 0.12 }, [0.1]).why).toMatchObject({
      next: { pieces: [0.1] },
    });
  });
  it("is told in the point's unit, its pieces in mm as the leaves are marked", () => {
    const inch: MeasuringPoint = { ...inlet, unit: "in", lower: 0.004, upper: 0.006 };
    const judged = judge(inch, { goes: 0.003, refuses: 0.005 }, [0.0508]);
    expect(judged.tryLeaf).toBeUndefined();
    expect(judge(inch, { goes: 0.003, refuses: 0.005 }, [0.0508, 0.0508])).toMatchObject({
      tryLeaf: 0.004,
      why: { next: { pieces: [0.0508, 0.0508] } },
    });
  });
});

describe("a look, and a statement without a figure", () => {
  it("are their own verdicts", () => {
    const hose: MeasuringPoint = { name: "hose", quantity: "condition", method: "look" };
    expect(judge(hose, { look: "watch" })).toEqual({
      verdict: "watch",
      why: { code: "looked", look: "watch" },
    });
    expect(judge(inlet, { stated: true })).toEqual({ verdict: "stated", why: { code: "stated" } });
  });
});

describe("every gap, limits and set of leaves", () => {
  const hundredths = (max: number) => fc.integer({ min: 1, max }).map((n) => n / 100);
  const setting = fc.record({
    gap: fc.integer({ min: 0, max: 600 }).map((n) => n / 1000),
    limits: fc
      .uniqueArray(hundredths(50), { minLength: 2, maxLength: 2 })
      .map(([a = 0, b = 0]) => ({ lower: Math.min(a, b), upper: Math.max(a, b) })),
    leaves: fc.uniqueArray(hundredths(60), { minLength: 1, maxLength: 12 }),
  });
  const pairOf = (gap: number, leaves: readonly number[]) => {
    const goes = leaves.filter((leaf) => leaf <= gap);
    const refuses = leaves.filter((leaf) => leaf > gap);
    return {
      goes: goes.length > 0 ? Math.max(...goes) : undefined,
      refuses: refuses.length > 0 ? Math.min(...refuses) : undefined,
    };
  };
  const truth = (gap: number, { lower, upper }: { lower: number; upper: number }) =>
    gap < lower ? "tight" : gap >= upper ? "loose" : "inSpec";

  it("are never judged against the truth", () => {
    fc.assert(
      fc.property(setting, ({ gap, limits, leaves }) => {
        const { verdict } = judge({ ...inlet, ...limits }, pairOf(gap, leaves));
        expect(["undetermined", truth(gap, limits)]).toContain(verdict);
      }),
    );
  });
  it("are narrowed by the leaf that is named, down to the verdict or the end of the leaves", () => {
    fc.assert(
      fc.property(setting, ({ gap, limits, leaves }) => {
        const point = { ...inlet, ...limits };
        let pair = pairOf(gap, leaves.slice(0, 1));
        for (let tries = 0; tries < 5; tries++) {
          const { verdict, tryLeaf } = judge(point, pair, leaves);
          if (tryLeaf === undefined) {
            expect(["undetermined", truth(gap, limits)]).toContain(verdict);
            return;
          }
          expect(tryLeaf).toBeGreaterThan(pair.goes ?? 0);
          expect(tryLeaf).toBeLessThan(pair.refuses ?? Number.POSITIVE_INFINITY);
          pair = tryLeaf <= gap + 1e-9 ? { ...pair, goes: tryLeaf } : { ...pair, refuses: tryLeaf };
        }
        expect.fail("more than four tries");
      }),
    );
  });
  it("are judged alike in inches and in millimetres", () => {
    fc.assert(
      fc.property(setting, ({ gap, limits, leaves }) => {
        const inch = (mm: number | undefined) => (mm === undefined ? undefined : mm / 25.4);
        const pair = pairOf(gap, leaves);
        const metric = judge({ ...inlet, ...limits }, pair, leaves);
        const imperial = judge(
          { ...inlet, unit: "in", lower: inch(limits.lower), upper: inch(limits.upper) },
          { goes: inch(pair.goes), refuses: inch(pair.refuses) },
          leaves,
        );
        expect(imperial.verdict).toBe(metric.verdict);
        // Ticks agree exactly; told back in inches the last binary digit may differ.
        const nanometres = (mm: number | undefined) => Math.round((mm ?? 0) * 1e6);
        const inMm = imperial.tryLeaf === undefined ? undefined : imperial.tryLeaf * 25.4;
        expect(nanometres(inMm)).toBe(nanometres(metric.tryLeaf));
      }),
    );
  });
  it("leave a narrower pair no less decided than a wider one", () => {
    fc.assert(
      fc.property(setting, hundredths(60), ({ gap, limits, leaves }, extra) => {
        const point = { ...inlet, ...limits };
        const wide = judge(point, pairOf(gap, leaves)).verdict;
        const narrow = judge(point, pairOf(gap, [...leaves, extra])).verdict;
        if (wide !== "undetermined") expect(narrow).toBe(wide);
      }),
    );
  });
});
