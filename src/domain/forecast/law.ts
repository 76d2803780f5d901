import type { Clock } from "../usage/clock.ts";
import type { LayUpDays } from "../usage/lay-up.ts";
import { lastPoint, type Point, type Track } from "../usage/track.ts";
import { distanceQuantile } from "./distance-quantile.ts";
import {
  type LongRunRates,
  type Mixture,
  meanBetween,
  mixtureOf,
  movedBetween,
  movedWithin,
  movingUntil,
  type Spread,
} from "./mixture.ts";
import { type ParkedEvidence, parkedAfter } from "./parked.ts";
import { passedOn } from "./passed-on.ts";
import { timesReached } from "./time-reached.ts";

/** Days after `asOf` beyond which a date says nothing, unless a caller asks for more. */
export const FURTHEST_DAYS = 3650;

/** Days over which usage per day is told. */
const USAGE_DAYS = 30;

/**
 * Where the total of one machine will be, as a distribution: made of its readings, seen from `asOf`.
 * Days count from 1970-01-01T00:00Z, with fractions; totals are km. Immutable.
 */
export interface Law {
  readonly asOf: number;
  /** The last reading that counts: from here on distance is uncertain. */
  readonly last: Point;
  /** P(the total has reached km by `day`); a step from 0 to 1 where the last reading is past it. */
  reachedBy(km: number, day: number): number;
  /**
   * Day by which the total reaches km with probability p (0 < p < 1); may lie before `asOf`; null
   * when more than `cap` days after it. For a total already passed, when it was passed.
   */
  dayReached(km: number, p: number, cap?: number): number | null;
  /** The same for several p in any order, in one walk; never falls in p. */
  daysReached(km: number, ps: readonly number[], cap?: number): (number | null)[];
  /** When a total was most likely passed; null when the last reading lies below it. */
  passedOn(km: number): number | null;
  /** Quantile p of the total at `asOf`, km. */
  totalToday(p: number): number;
  /** Expected total at `asOf`, km: the components' expected distances, weighted. */
  meanToday(): number;
  /** Quantile p of the distance of the 30 calendar days from `asOf`, over 30: km per day. */
  perDay(p: number): number;
  /** Expected distance of the 30 calendar days from `asOf`, over 30: km per day. */
  meanPerDay(): number;
  /** P(at most `km` are left until the total `target`) at `asOf`. */
  leftAtMost(target: number, km: number): number;
  /** P(the machine is parked) at `asOf`. */
  readonly parked: number;
  /** The law of a machine that certainly goes on, P(parked) = 0: no reminder comes later than it says. */
  riding(): Law;
  /**
   * The law at a later moment at which nothing new is known. Cheap: only the silence changes; ages
   * are counted from the last reading. Throws a RangeError for a moment before the last reading.
   */
  at(asOf: number): Law;
  /** What it rests on, for checks and for explaining it. */
  readonly inner: Inner;
}

/** The figures inside a law; rates in km per clock day, times in clock days. */
export interface Inner {
  readonly r1: number;
  readonly r2: number;
  readonly r3: number;
  /** Variance of the log rate. */
  readonly A: number;
  /** Scatter. */
  readonly B: number;
  readonly gap: number;
  readonly clockSinceReading: number;
  readonly parked: number;
}

/** What is known of a machine whatever the moment it is asked about. */
export interface Machine {
  readonly track: Track;
  readonly layUps: readonly LayUpDays[];
  readonly clock: Clock;
  readonly rates: LongRunRates;
  readonly spread: Spread;
  readonly parkedEvidence: ParkedEvidence;
  /** How far its posts follow the distance, 0 to 1. */
  readonly followsDistance: number;
}

/** The law of a machine at a moment not before its last reading; `goesOn` sets P(parked) to 0. */
export function lawOf(machine: Machine, asOf: number, goesOn: boolean): Law {
  const last = lastPoint(machine.track);
  if (asOf < last.day) throw new RangeError("a law cannot be asked for before its last reading");
  return new MachineLaw(machine, asOf, goesOn);
}

class MachineLaw implements Law {
  readonly asOf: number;
  readonly last: Point;
  readonly parked: number;
  readonly #machine: Machine;
  readonly #goesOn: boolean;
  readonly #mixture: Mixture;
  readonly #lastClock: number;
  readonly #silence: number;

  constructor(machine: Machine, asOf: number, goesOn: boolean) {
    this.#machine = machine;
    this.#goesOn = goesOn;
    this.asOf = asOf;
    this.last = lastPoint(machine.track);
    this.#lastClock = machine.clock.at(this.last.day);
    this.#silence = machine.clock.at(asOf) - this.#lastClock;
    this.parked = goesOn ? 0 : parkedAfter(this.#silence, machine.parkedEvidence);
    const { spread, rates, parkedEvidence, followsDistance } = machine;
    this.#mixture = mixtureOf(spread, rates, {
      parked: this.parked,
      clockDays: this.#silence,
      gap: parkedEvidence.gap,
      standing: goesOn ? 0 : followsDistance,
    });
  }

  reachedBy(km: number, day: number): number {
    const passed = this.passedOn(km);
    if (passed !== null) return day >= passed ? 1 : 0;
    return movedWithin(this.#mixture, this.#clockDaysSinceReading(day), km - this.last.km);
  }

  dayReached(km: number, p: number, cap = FURTHEST_DAYS): number | null {
    return this.daysReached(km, [p], cap)[0] ?? null;
  }

  daysReached(km: number, ps: readonly number[], cap = FURTHEST_DAYS): (number | null)[] {
    const passed = this.passedOn(km);
    if (passed !== null) return ps.map(() => passed);
    const ascending = [...ps].sort((a, b) => a - b);
    const horizon = this.#clockDaysSinceReading(this.asOf + cap);
    const times = timesReached(this.#mixture, km - this.last.km, ascending, horizon);
    const days = times.map((time) =>
      time === null ? null : this.#machine.clock.dayAt(this.#lastClock + time),
    );
    return ps.map((p) => days[ascending.indexOf(p)] ?? null);
  }

  passedOn(km: number): number | null {
    if (km > this.last.km) return null;
    return passedOn(this.#machine.track, this.#machine.layUps, km);
  }

  totalToday(p: number): number {
    const exceeds = (km: number) => movedWithin(this.#mixture, this.#silence, km);
    return this.last.km + this.#quantile(exceeds, p, 0, this.#silence);
  }

  meanToday(): number {
    return this.last.km + meanBetween(this.#mixture, 0, this.#silence);
  }

  perDay(p: number): number {
    const until = this.#clockDaysSinceReading(this.asOf + USAGE_DAYS);
    const exceeds = (km: number) => movedBetween(this.#mixture, this.#silence, until, km);
    return this.#quantile(exceeds, p, this.#silence, until) / USAGE_DAYS;
  }

  meanPerDay(): number {
    const until = this.#clockDaysSinceReading(this.asOf + USAGE_DAYS);
    return meanBetween(this.#mixture, this.#silence, until) / USAGE_DAYS;
  }

  leftAtMost(target: number, km: number): number {
    const before = target - this.last.km - km;
    return before <= 0 ? 1 : movedWithin(this.#mixture, this.#silence, before);
  }

  riding(): Law {
    return this.#goesOn ? this : lawOf(this.#machine, this.asOf, true);
  }

  at(asOf: number): Law {
    return lawOf(this.#machine, asOf, this.#goesOn);
  }

  get inner(): Inner {
    const { spread, rates, parkedEvidence } = this.#machine;
    return {
      r1: spread.r1,
      r2: rates.r2,
      r3: rates.r3,
      A: spread.rateVariance,
      B: spread.scatter,
      gap: parkedEvidence.gap,
      clockSinceReading: this.#silence,
      parked: this.parked,
    };
  }

  #clockDaysSinceReading(day: number): number {
    return this.#machine.clock.at(day) - this.#lastClock;
  }

  /** Quantile of the distance ridden between two times after the last reading, km. */
  #quantile(exceeds: (km: number) => number, p: number, from: number, to: number): number {
    if (to <= from) return 0;
    const moving = movingUntil(this.#mixture, to);
    return distanceQuantile(exceeds, moving, p, meanBetween(this.#mixture, from, to));
  }
}
