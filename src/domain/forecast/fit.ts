import { clockOf } from "../usage/clock.ts";
import { habitOf } from "../usage/habit.ts";
import { riddenBetween } from "../usage/interval-ridden.ts";
import type { VehicleKind } from "../usage/kind.ts";
import type { LayUpDays } from "../usage/lay-up.ts";
import { learnSeason } from "../usage/learn-season.ts";
import { ratesOf } from "../usage/rates.ts";
import { scatterOf } from "../usage/scatter.ts";
import { typicalSeason } from "../usage/season.ts";
import { type Point, type Track, trackUntil } from "../usage/track.ts";
import { usualGap } from "../usage/usual-gap.ts";
import { isDeclared, priorRate } from "../usage/yearly-distance.ts";
import { type Law, lawOf, type Machine } from "./law.ts";
import { temperOf } from "./temper.ts";

/** Everything that a forecast rests on. Days count from 1970-01-01T00:00Z, with fractions. */
export interface RiddenHistory {
  readonly kind: VehicleKind;
  /** Totals of the meter, in any order; those after `asOf` are left out. */
  readonly readings: readonly Point[];
  readonly asOf: number;
  /** What the rider says is ridden in a year, km; 0 says nothing. */
  readonly declaredKmPerYear?: number | undefined;
  /** Past and planned; one without an end runs on for good. */
  readonly layUps: readonly LayUpDays[];
  /** Whether the machine lives south of the equator. */
  readonly south: boolean;
}

/** Evidence about the rate counts as this many intervals' worth of scatter. */
const SCATTER_SHARE = 1.75;
/** Readings from which on silence may say more than the bound of the first two. */
const ENOUGH_READINGS = 3;

/**
 * The law of a machine's total from its readings; null when there is none at or before `asOf`.
 * Does all that serves every due point of the machine; model.md beside this file has the formulas.
 */
export function fit(history: RiddenHistory): Law | null {
  const track = trackUntil(history.readings, history.asOf);
  return track === null ? null : lawOf(machineOf(history, track), history.asOf, false);
}

function machineOf(history: RiddenHistory, track: Track): Machine {
  const { kind, layUps, declaredKmPerYear } = history;
  const habit = habitOf(kind);
  const temper = temperOf(kind);
  const prior = priorRate(kind, declaredKmPerYear);
  const declared = isDeclared(declaredKmPerYear);

  const season = learnSeason(typicalSeason(kind, history.south), track, habit.seasonDays);
  const clock = clockOf(season, layUps);
  const ridden = riddenBetween(track, clock);
  const { r1, r2, r3, evidence } = ratesOf(ridden, habit, prior, declared);
  const scatter = scatterOf(ridden, prior, habit.scatter);
  const variance = declared ? temper.declaredVariance : temper.variance;
  const rateVariance = 1 / (1 / variance + evidence / (SCATTER_SHARE * scatter));

  return {
    track,
    layUps,
    clock,
    rates: { r2, r3 },
    spread: { r1, rateVariance, scatter, shift: temper.shift },
    parkedEvidence: {
      odds: temper.parkedOdds,
      relativeScatter: scatter / habit.scatter,
      gap: usualGap(ridden),
      most: track.length < ENOUGH_READINGS ? temper.parkedAtFirst : 1,
    },
  };
}
