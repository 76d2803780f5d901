import { afterAll, beforeAll, describe, expect, test } from "vitest";
import { type Json, sandbox } from "../support/client.ts";
import { lawOfReference, REFERENCE_MACHINES } from "../support/reference-machines.ts";
import { type RunningService, startService } from "../support/service.ts";

const DAY = 86_400_000;
describe("computations with everything in the request", () => {
  let service: RunningService;
  let caller: Awaited<ReturnType<typeof sandbox>>;
  beforeAll(async () => {
    service = await startService();
    caller = await sandbox(service, "2026-04-01T08:00:00Z");
  });
  afterAll(() => service.stop());

  test("forty machines have over HTTP the dates, chances and totals of their laws", async () => {
    const instant = (day: number) => new Date(day * DAY).toISOString();
    const date = (day: number) => instant(day).slice(0, 10);
    const { body, status } = await caller.post("/v1/forecasts", {
      cases: REFERENCE_MACHINES.map(({ id, input }) => ({
        id,
        kind: input.kind,
        asOf: instant(input.asOf),
        declaredPerYear: input.declaredAnnualKm ?? null,
        hemisphere: input.south ? "south" : "north",
        readings: input.readings.map(([day, km]) => ({ at: instant(day), value: km })),
        layUps: input.layups.map(([from, to]) => ({ from: date(from), to: date(to) })),
        targets: [input.threshold],
        quantiles: [0.1, 0.25, 0.5, 0.75, 0.9],
        withinDays: [21],
      })),
    });
    expect(status).toBe(200);
    for (const [index, machine] of REFERENCE_MACHINES.entries()) {
      const { id, input } = machine;
      const law = lawOfReference(machine);
      const result = body.results[index];
      expect(result.held, id).toEqual([]);
      const [target] = result.targets;
      for (const { p, at } of target.quantiles) {
        const day = law.dayReached(input.threshold, p, 18_262);
        if (day === null) expect(at, id).toBeNull();
        else expect(Math.abs(Date.parse(at) / DAY - day), `${id} P${p * 100}`).toBeLessThan(1e-4);
      }
      const chance = law.reachedBy(input.threshold, input.asOf + 21);
      expect(Math.abs(target.within[0].probability - chance), id).toBeLessThan(1e-9);
      for (const { p, value } of result.now.quantiles) {
        expect(Math.abs(value - law.totalToday(p)), id).toBeLessThan(0.051);
      }
    }
  });

  test("a thousand cases answer, a thousand and one are refused by name", async () => {
    const one = { readings: [{ at: "2026-03-01T00:00:00Z", value: 0 }], targets: [100] };
    const many = (count: number) => ({ cases: Array.from({ length: count }, () => one) });
    expect((await caller.post("/v1/forecasts", many(1000))).body.results).toHaveLength(1000);
    expect((await caller.post("/v1/forecasts", many(1001))).body.errors[0].pointer).toBe("#/cases");
  });

  test("no reading: no dates; a reading of 0 is a reading; a target already passed has its instant", async () => {
    const { body } = await caller.post("/v1/forecasts", {
      asOf: "2026-05-01T00:00:00Z",
      cases: [
        { id: "none", targets: [100] },
        { id: "zero", readings: [{ at: "2026-04-01T00:00:00Z", value: 0 }], targets: [500] },
        {
          id: "passed",
          readings: [
            { at: "2026-03-01T00:00:00Z", value: 0 },
            { at: "2026-03-11T00:00:00Z", value: 1000 },
          ],
          targets: [500],
        },
      ],
    });
    const [none, zero, passed] = body.results;
    expect(none).toMatchObject({ now: null, perDay: null });
    expect(none.targets[0].quantiles[0].at).toBeNull();
    expect(zero.now.quantiles[0].value).toBeGreaterThanOrEqual(0);
    expect(passed.targets[0].quantiles[0].at.slice(0, 10)).toBe("2026-03-06");
    expect(passed.targets[0].within[0].probability).toBe(1);
  });

  // Limits of US Army TM 5-3895-385-23-2, table 1: intake 0.006 to 0.015 in; verdicts by hand.
  test("judgements follow published limits, and name the leaf that settles the doubt", async () => {
    const point = {
      name: "Intake",
      quantity: "clearance",
      unit: "in",
      lower: 0.006,
      upper: 0.015,
      method: "feeler",
    };
    const { body } = await caller.post("/v1/judgements", {
      cases: [
        { id: "in", point, asFound: { goes: 0.006, refuses: 0.007 } },
        { id: "doubt", point, asFound: { goes: 0.014, refuses: 0.016 } },
        { id: "tight", point, asFound: { refuses: 0.006 } },
        { id: "loose", point, asFound: { goes: 0.015 } },
      ],
    });
    expect(body.results.map(({ verdict }: Json) => verdict)).toEqual([
      "inSpec",
      "undetermined",
      "tight",
      "loose",
    ]);
    expect(body.results[1].tryLeaf).toBe(0.015);
  });

  test("a pair that contradicts itself is refused at its field", async () => {
    const { status, body } = await caller.post("/v1/judgements", {
      cases: [
        { point: { name: "x", unit: "mm", lower: 0.1 }, asFound: { goes: 0.2, refuses: 0.1 } },
      ],
    });
    expect(status).toBe(422);
    expect(body.errors[0].pointer).toMatch(/^#\/cases\/0\/asFound/);
  });
});
