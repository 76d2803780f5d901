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
  /** Share of riders who go on and keep to their average of all time. */
  readonly everShare: number;
  /** Clock days in which "now" fades into the long run. */
  readonly fading: number;
  /** Variance that a log rate keeps however much was seen of it: habits drift. */
  readonly drift: number;
  /** Odds of being parked for a machine of ordinary scatter that has just been read. */
  readonly parkedOdds: number;
  /** How strongly scatter raises those odds: steady machines are seldom parked. */
  readonly scatterPower: number;
  /** Upper bound of P(parked) with fewer than three readings. */
  readonly parkedAtFirst: number;
  /** Intervals that posting by the calendar weighs before any is seen; see `followsDistance`. */
  readonly postingDoubt: number;
}

const FOUR_WHEELS: Temper = {
  variance: 0.2,
  declaredVariance: 0.2,
  shift: 0,
  everShare: 0.5,
  fading: 50,
  drift: 0.015,
  parkedOdds: 0.04,
  scatterPower: 0.5,
  parkedAtFirst: 0.01,
  postingDoubt: 4,
};

const OTHERS: Temper = {
  variance: 1.2,
  declaredVariance: 0.35,
  shift: -0.2,
  everShare: 0.3,
  fading: 50,
  drift: 0.05,
  parkedOdds: 0.21,
  scatterPower: 0.5,
  parkedAtFirst: 0.35,
  postingDoubt: 4,
};

export function temperOf(kind: VehicleKind): Temper {
  return isFourWheeled(kind) ? FOUR_WHEELS : OTHERS;
}
