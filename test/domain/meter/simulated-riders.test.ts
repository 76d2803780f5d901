import { describe, expect, it } from "vitest";
import { acceptReading, type Known } from "../../../src/domain/meter/accept.ts";
import { accepted, contextAt, posted } from "./riders.ts";
import { type SimulatedRider, seeded, simulatedRider, slipped } from "./simulated.ts";

/** A slip matters when it is off by a month's usual distance and by 500 km at least. */
const MATTERS_KM = 500;
const MATTERS_DAYS = 30;

const held = (rider: SimulatedRider, day: number, km: number, known: readonly Known[]) => {
  const one = posted(day, km);
  return acceptReading(one, known, [], contextAt(one.at, rider.kind)).status === "held";
};

/** Time before the right figure follows a slip that was held, days. */
const A_MINUTE = 1 / 1440;

/**
 * Posts a rider's readings one by one; at some of them tries what a slip would have met. Slips that
 * were held stay held, as where nobody settles them, and the right figure follows.
 */
function postAll(seed: number) {
  const rider = simulatedRider(seed);
  const random = seeded(seed + 900_000);
  const [first] = rider.readings;
  const known: Known[] = [];
  const count = { honest: 0, honestHeld: 0, slips: 0, slipsHeld: 0, slipsMet: 0 };
  for (const [i, { day, km }] of rider.readings.entries()) {
    if (first && i > 0) {
      count.honest++;
      if (held(rider, day, km, known)) count.honestHeld++;
      const typed = i >= 2 && random() < 0.3 ? slipped(km, random) : null;
      const usual = (km - first.km) / (day - first.day);
      if (typed !== null && Math.abs(typed - km) >= Math.max(MATTERS_KM, MATTERS_DAYS * usual)) {
        count.slips++;
        const atOnce = held(rider, day, typed, known);
        const bad = [...known, accepted(day, typed, { id: "slip" })];
        const following = rider.readings.slice(i + 1, i + 3);
        if (atOnce) {
          count.slipsHeld++;
          known.push(accepted(day - A_MINUTE, typed, { id: `slip ${i}`, status: "held" }));
        }
        if (atOnce || following.some((next) => held(rider, next.day, next.km, bad))) {
          count.slipsMet++;
        }
      }
    }
    known.push(accepted(day, km, { id: `${i}` }));
  }
  return count;
}

describe("240 simulated riders of six habits over two years", () => {
  const counts = Array.from({ length: 240 }, (_, i) => postAll(i + 1));
  const sum = (of: keyof (typeof counts)[number]) =>
    counts.reduce((total, count) => total + count[of], 0);

  it("are held at no more than one honest reading in 500", () => {
    expect(sum("honest")).toBeGreaterThan(5000);
    expect(sum("honestHeld") / sum("honest")).toBeLessThanOrEqual(1 / 500);
  });
  it("are held at once at 95 % of the slips that matter, and at 98 % by the second reading after", () => {
    expect(sum("slips")).toBeGreaterThan(1000);
    expect(sum("slipsHeld") / sum("slips")).toBeGreaterThanOrEqual(0.95);
    expect(sum("slipsMet") / sum("slips")).toBeGreaterThanOrEqual(0.98);
  });
});
