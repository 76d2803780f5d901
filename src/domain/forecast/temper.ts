import { isFourWheeled } from "../usage/habit.ts";
import type { VehicleKind } from "../usage/kind.ts";

/** How sure a kind lets us be, and how readily its riders stop. Chosen like the figures of a habit. */
export interface Temper {
  /** Variance of the log rate when only the kind is known. */
  readonly variance: number;
  /** The same when a yearly distance was declared. */
  readonly declaredVariance: number;
  /** Shift of the centre of the law, in units of its own spread. */
  readonly shift: number;
  /** Odds of being parked for a machine of ordinary scatter that has just been read. */
  readonly parkedOdds: number;
  /** Upper bound of P(parked) with fewer than three readings. */
  readonly parkedAtFirst: number;
}

const FOUR_WHEELS: Temper = {
  variance: 0.2,
  declaredVariance: 0.2,
  shift: 0,
  parkedOdds: 0.03,
  parkedAtFirst: 0.01,
};

const OTHERS: Temper = {
  variance: 1.2,
  declaredVariance: 0.35,
  shift: -0.2,
  parkedOdds: 0.18,
  parkedAtFirst: 0.35,
};

export function temperOf(kind: VehicleKind): Temper {
  return isFourWheeled(kind) ? FOUR_WHEELS : OTHERS;
}
