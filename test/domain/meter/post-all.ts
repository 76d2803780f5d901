import { seeded } from "../../../src/commands/backtest/seeded.ts";
import { acceptReading, type Known } from "../../../src/domain/meter/accept.ts";
import { accepted, contextAt, posted } from "./riders.ts";
import { type SimulatedRider, slipped } from "./simulated.ts";

/** A slip matters when it is off by a month's usual distance and by 500 km at least. */
const MATTERS_KM = 500;
const MATTERS_DAYS = 30;
/** Time before the right figure follows a slip that was held, days. */
const A_MINUTE = 1 / 1440;

export interface Counts {
  honest: number;
  honestHeld: number;
  /** Slips that matter. */
  slips: number;
  slipsHeld: number;
  /** Held at once, or told at one of the two readings after. */
  slipsMet: number;
}

export const NONE: Counts = { honest: 0, honestHeld: 0, slips: 0, slipsHeld: 0, slipsMet: 0 };

export function added(one: Counts, other: Counts): Counts {
  return {
    honest: one.honest + other.honest,
    honestHeld: one.honestHeld + other.honestHeld,
    slips: one.slips + other.slips,
    slipsHeld: one.slipsHeld + other.slipsHeld,
    slipsMet: one.slipsMet + other.slipsMet,
  };
}

const isHeld = (rider: SimulatedRider, day: number, km: number, known: readonly Known[]) => {
  const one = posted(day, km);
  return acceptReading(one, known, [], contextAt(one.at, rider.kind)).status === "held";
};

/**
 * Posts a rider's readings one by one; a share of them slips first. Slips that were held stay held,
 * as where nobody settles them, and the right figure follows; the others are tried only.
 */
export function postAll(rider: SimulatedRider, share: number, seed: number): Counts {
  const random = seeded(seed + 900_000);
  const [first] = rider.readings;
  const known: Known[] = [];
  const counts = { ...NONE };
  for (const [i, { day, km }] of rider.readings.entries()) {
    if (first && i > 0) {
      const typed = i >= 2 && random() < share ? slipped(km, random) : null;
      const usual = (km - first.km) / (day - first.day);
      if (typed !== null && Math.abs(typed - km) >= Math.max(MATTERS_KM, MATTERS_DAYS * usual)) {
        counts.slips++;
        if (isHeld(rider, day - A_MINUTE, typed, known)) {
          counts.slipsHeld++;
          counts.slipsMet++;
          known.push(accepted(day - A_MINUTE, typed, { id: `slip ${i}`, status: "held" }));
        } else {
          const bad = [...known, accepted(day, typed, { id: "slip" })];
          const following = rider.readings.slice(i + 1, i + 3);
          if (following.some((next) => isHeld(rider, next.day, next.km, bad))) counts.slipsMet++;
        }
      }
      counts.honest++;
      if (isHeld(rider, day, km, known)) counts.honestHeld++;
    }
    known.push(accepted(day, km, { id: `${i}` }));
  }
  return counts;
}
