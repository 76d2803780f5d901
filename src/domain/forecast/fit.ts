import { averageRate } from "../usage/average-rate.ts";
import { clockOf } from "../usage/clock.ts";
import { type Expected, lentBy } from "../usage/fleet.ts";
import { riddenBetween } from "../usage/interval-ridden.ts";
import type { VehicleKind } from "../usage/kind.ts";
import type { LayUpDays } from "../usage/lay-up.ts";
import { learnSeason } from "../usage/learn-season.ts";
import { followsDistance } from "../usage/posting.ts";
import { ratesOf } from "../usage/rates.ts";
import { scatterOf } from "../usage/scatter.ts";
import { typicalSeason } from "../usage/season.ts";
import { type Point, type Track, trackUntil } from "../usage/track.ts";
import { usualGap } from "../usage/usual-gap.ts";
import { isDeclared, priorRate } from "../usage/yearly-distance.ts";
import { type Character, characterOf } from "./character.ts";
import { type Law, lawOf, type Machine } from "./law.ts";

/** Everything that a forecast rests on. Days count from 1970-01-01T00:00Z, with fractions. */
export interface RiddenHistory {
  readonly kind: VehicleKind;
  /** Totals of the meter, in any order; those after `asOf` are left out. */
  readonly readings: readonly Point[];
  readonly asOf: number;
  /**
   * Totals of other machines of the kind that the same people use, each in any order: they lend
   * their habits to one that has few readings of its own.
   */
  readonly fleet?: readonly (readonly Point[])[] | undefined;
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
export function fit(
  history: RiddenHistory,
  character: Character = characterOf(history.kind),
): Law | null {
  const track = trackUntil(history.readings, history.asOf);
  return track === null ? null : lawOf(machineOf(history, track, character), history.asOf, false);
}

function machineOf(history: RiddenHistory, track: Track, character: Character): Machine {
  const { habit, temper } = character;
  const declared = isDeclared(history.declaredKmPerYear);
  const expected = expectedOf(history, character);

  const season = learnSeason(expected.season, track, habit.seasonDays);
  const clock = clockOf(season, history.layUps);
  const ridden = riddenBetween(track, clock);
  const { r1, r2, r3, evidence } = ratesOf(ridden, habit, expected.rate, declared);
  const scatter = scatterOf(ridden, expected.rate, expected.scatter);

  return {
    track,
    layUps: history.layUps,
    clock,
    rates: { r2, r3, ever: averageRate(ridden, expected.rate), everShare: temper.everShare },
    spread: {
      r1,
      rateVariance: rateVariance(expected.rateVariance, temper.drift, evidence / scatter),
      scatter,
      shift: temper.shift,
      fading: temper.fading,
    },
    followsDistance: followsDistance(ridden, temper.postingDoubt),
    parkedEvidence: {
      odds: temper.parkedOdds,
      relativeScatter: scatter / habit.scatter,
      scatterPower: temper.scatterPower,
      gap: usualGap(ridden),
      most: track.length < ENOUGH_READINGS ? temper.parkedAtFirst : 1,
    },
  };
}

/** What was declared goes before what the fleet lends, and that before what the kind says. */
function expectedOf(history: RiddenHistory, { habit, temper }: Character): Expected {
  const { kind, declaredKmPerYear, fleet, asOf } = history;
  const ofKind = {
    rate: priorRate(kind, undefined),
    rateVariance: temper.variance,
    scatter: habit.scatter,
    season: typicalSeason(kind, history.south),
  };
  const expected = fleet === undefined ? ofKind : lentBy(fleet, ofKind, asOf);
  if (!isDeclared(declaredKmPerYear)) return expected;
  const rate = priorRate(kind, declaredKmPerYear);
  return { ...expected, rate, rateVariance: temper.declaredVariance };
}

/** From what was expected down to the drift, as evidence in units of the scatter comes in. */
function rateVariance(expected: number, drift: number, evidence: number): number {
  const left = 1 / (1 + (expected * evidence) / SCATTER_SHARE);
  return left * expected + (1 - left) * Math.min(expected, drift);
}
