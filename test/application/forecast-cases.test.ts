import { describe, expect, it } from "vitest";
import { breathing } from "../../src/application/breathe.ts";
import { type ForecastCase, forecastCase } from "../../src/application/forecast-cases.ts";
import { dateOfDay } from "../../src/domain/calendar/plain-date.ts";
import { KM_PER_MI } from "../../src/domain/units/distance.ts";
import { lawOfReference, REFERENCE_MACHINES } from "../support/reference-machines.ts";

const DAY = 86_400_000;
const TODAY = Date.UTC(2026, 4, 1);

function machine(fields: Partial<ForecastCase> = {}): ForecastCase {
  return {
    id: "one",
    kind: "motorcycle",
    unit: "km",
    declaredPerYear: null,
    hemisphere: "north",
    asOf: TODAY,
    readings: [],
    layUps: [],
    targets: [],
    quantiles: [0.1, 0.5, 0.9],
    withinDays: [21],
    ...fields,
  };
}

/** So many days ago, the meter showed so much. */
const ago = (days: number, value: number) => ({ at: TODAY - days * DAY, value });
const forecast = (fields: Partial<ForecastCase>) => forecastCase(machine(fields), breathing());
const dates = ({ targets: [first] }: Awaited<ReturnType<typeof forecast>>) =>
  first?.quantiles.map(({ at }) => at) ?? [];

describe("a forecast with everything in the request", () => {
  it.each(REFERENCE_MACHINES)("$id: dates and probability are those of its law", async (one) => {
    const { input } = one;
    const answer = await forecast({
      kind: input.kind,
      asOf: input.asOf * DAY,
      declaredPerYear: input.declaredAnnualKm,
      hemisphere: input.south ? "south" : "north",
      readings: input.readings.map(([day, value]) => ({ at: day * DAY, value })),
      layUps: input.layups.map(([from, to]) => ({ from: dateOfDay(from), to: dateOfDay(to) })),
      targets: [input.threshold],
    });
    expect(answer.held).toEqual([]);
    const law = lawOfReference(one);
    const days = law.daysReached(input.threshold, [0.1, 0.5, 0.9], 18_262);
    dates(answer).forEach((at, index) => {
      expect(at === null ? null : at / DAY).toBeCloseTo(days[index]!, 6);
    });
    const chance = law.reachedBy(input.threshold, input.asOf + 21);
    expect(answer.targets[0]!.within[0]!.probability).toBeCloseTo(chance, 9);
  });

  it("tells the middle and both ends of today's meter, whatever was asked for besides", async () => {
    const { now } = await forecast({ readings: [ago(30, 5000)], quantiles: [0.25] });
    expect(now!.quantiles.map(({ p }) => p)).toEqual([0.1, 0.25, 0.5, 0.9]);
  });

  it("knows nothing of a machine without a reading", async () => {
    const answer = await forecast({ targets: [100] });
    expect(answer).toMatchObject({ now: null, perDay: null });
    expect(dates(answer)).toEqual([null, null, null]);
  });

  it("leaves out what was read after the moment that is asked about", async () => {
    const early = await forecast({ readings: [ago(30, 5000)], targets: [6000] });
    const both = await forecast({ readings: [ago(30, 5000), ago(-5, 9000)], targets: [6000] });
    expect(both).toEqual(early);
  });

  it("tells no date that lies further away than fifty years", async () => {
    const readings = [ago(60, 5000), ago(30, 5010)];
    expect(dates(await forecast({ readings, targets: [9_000_000] }))).toEqual([null, null, null]);
  });

  it("says the same of a machine in miles as of the same machine in kilometres", async () => {
    const readings = [ago(60, 5000), ago(30, 5600), ago(10, 6100)];
    const km = await forecast({ readings, targets: [7000], declaredPerYear: 6000 });
    const mi = await forecast({
      unit: "mi",
      readings: readings.map(({ at, value }) => ({ at, value: value / KM_PER_MI })),
      targets: [7000 / KM_PER_MI],
      declaredPerYear: 6000 / KM_PER_MI,
    });
    dates(km).forEach((at, index) => {
      expect(Math.abs(dates(mi)[index]! - at!)).toBeLessThan(1000);
    });
    expect(mi.now!.mean * KM_PER_MI).toBeCloseTo(km.now!.mean, 6);
  });
});

describe("readings that make no sense", () => {
  const steady = [ago(50, 1000), ago(40, 1200), ago(30, 1400)];

  it("are held with their reason and change no date", async () => {
    const without = await forecast({ readings: steady, targets: [3000] });
    const slip = ago(20, 160);
    const answer = await forecast({ readings: [...steady, slip], targets: [3000] });
    expect(answer.held).toMatchObject([{ ...slip, reasons: [{ code: "runsBackwards" }, {}] }]);
    expect(dates(answer)).toEqual(dates(without));
  });

  it("are told apart from a later one that shows them to be the slip", async () => {
    const slip = ago(20, 16_000);
    const readings = [...steady, slip, ago(10, 1800)];
    const answer = await forecast({ readings, targets: [3000] });
    expect(answer.held.map(({ value }) => value)).toEqual([slip.value]);
    expect(answer.held[0]!.reasons.map(({ code }) => code)).not.toContain("earlierIsTheSlip");
  });

  it("are no matter of the order in which they are sent", async () => {
    const readings = [...steady, ago(20, 160), ago(10, 1800)];
    const turned = await forecast({ readings: [...readings].reverse(), targets: [3000] });
    expect(turned).toEqual(await forecast({ readings, targets: [3000] }));
  });
});

describe("a machine with thousands of readings", () => {
  it("never keeps others waiting for long", async () => {
    const readings = Array.from({ length: 2000 }, (_, day) => ago(2000 - day, day * 15));
    let [longest, last] = [0, performance.now()];
    const breathe = breathing();
    await forecastCase(machine({ readings, targets: [40_000] }), () => {
      longest = Math.max(longest, performance.now() - last);
      last = performance.now();
      return breathe();
    });
    // 50 ms is what the work may take in one go; the rest leaves room for a busy machine.
    expect(longest).toBeLessThan(250);
  });
});
