import { describe, expect, it, test } from "vitest";
import { seeded } from "../../../src/commands/backtest/seeded.ts";
import { acceptReading, type Known, type Posted } from "../../../src/domain/meter/accept.ts";
import { MeterHistory } from "../../../src/domain/meter/history.ts";
import { accepted, contextAt, posted } from "./riders.ts";
import { type SimulatedRider, simulatedRider, slipped } from "./simulated.ts";

const LAST_DAY = 5000;
const meterOf = (rider: Pick<SimulatedRider, "kind">) => ({
  context: contextAt(posted(LAST_DAY, 0).at, rider.kind),
  changes: [],
});

/** Walks a whole history as an import does. */
function walked(
  rider: Pick<SimulatedRider, "kind">,
  readings: readonly Posted[],
  looksAhead = true,
) {
  const history = new MeterHistory(meterOf(rider));
  return readings.map((one, index) => {
    const judged = history.judge(one, undefined, looksAhead ? readings[index + 1] : undefined);
    if (judged.status !== "same") history.pass(knownOf(one, `${index}`, judged));
    return judged;
  });
}

function knownOf(
  one: Posted,
  id: string,
  { status, total }: { status: "accepted" | "held"; total: number },
): Known {
  return { ...one, id, total, status, confirmed: false };
}

describe("a history that is posted whole", () => {
  test("without the reading that follows is judged as one that is posted one by one", () => {
    const rider = simulatedRider(3);
    const random = seeded(3);
    const readings = rider.readings.map(({ day, km }, i) =>
      posted(day, (i > 2 && random() < 0.2 ? slipped(km, random) : null) ?? km),
    );
    const meter = meterOf(rider);
    const history = new MeterHistory(meter);
    const known: Known[] = [];
    for (const [index, one] of readings.entries()) {
      const alone = acceptReading(one, known, [], meter.context);
      expect(history.judge(one, undefined, undefined), `${index}`).toEqual(alone);
      if (alone.status === "same") continue;
      known.push(knownOf(one, `${index}`, alone));
      history.pass(knownOf(one, `${index}`, alone));
    }
  });

  test("takes account of what is known before and after", () => {
    const history = new MeterHistory(meterOf({ kind: "motorcycle" }));
    history.pass(accepted(0, 1000));
    const after = accepted(60, 2000);
    expect(history.judge(posted(30, 1500), after, undefined).status).toBe("accepted");
    expect(history.judge(posted(31, 2500), after, undefined).status).toBe("held");
  });

  test("tells a reading that is there already, at the very instant", () => {
    const history = new MeterHistory(meterOf({ kind: "motorcycle" }));
    history.pass(accepted(0, 1000, { id: "first" }));
    const again = history.judge(posted(0, 1000), undefined, undefined);
    expect(again).toEqual({ status: "same", id: "first" });
    const other = history.judge(posted(0, 1001), undefined, undefined);
    expect(other).toMatchObject({ status: "held", reasons: [{ code: "sameInstantOtherValue" }] });
  });

  it("holds slips as single posts do, and not more honest readings", () => {
    const whole = { honest: 0, honestHeld: 0, slips: 0, slipsHeld: 0 };
    const alone = { ...whole };
    for (let seed = 1; seed <= 240; seed += 1) {
      const rider = simulatedRider(seed);
      const { readings, isSlip } = withSlips(rider, seed);
      count(whole, walked(rider, readings), isSlip);
      count(alone, walked(rider, readings, false), isSlip);
    }
    expect(whole.slips).toBeGreaterThan(200);
    expect(whole.slipsHeld / whole.slips).toBeGreaterThanOrEqual(0.95);
    expect(whole.slipsHeld).toBeGreaterThanOrEqual(0.98 * alone.slipsHeld);
    expect(whole.honestHeld).toBeLessThanOrEqual(alone.honestHeld);
  });
});

/** One reading in twenty slips by 1000 km at least, and nobody puts it right. */
function withSlips({ readings }: SimulatedRider, seed: number) {
  const random = seeded(seed + 700_000);
  const isSlip = new Set<number>();
  const typed = readings.map(({ day, km }, i) => {
    const slip = i >= 2 && random() < 0.05 ? slipped(km, random) : null;
    if (slip === null || Math.abs(slip - km) < 1000) return posted(day, km);
    isSlip.add(i);
    return posted(day, slip);
  });
  return { readings: typed, isSlip };
}

function count(
  counts: { honest: number; honestHeld: number; slips: number; slipsHeld: number },
  judged: readonly { status: string }[],
  isSlip: ReadonlySet<number>,
): void {
  for (const [index, { status }] of judged.entries()) {
    const held = Number(status === "held");
    counts.slips += Number(isSlip.has(index));
    counts.slipsHeld += isSlip.has(index) ? held : 0;
    counts.honest += Number(!isSlip.has(index));
    counts.honestHeld += isSlip.has(index) ? 0 : held;
  }
}
