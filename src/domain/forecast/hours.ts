import { fit as fitDistance, type RiddenHistory } from "./fit.ts";
import type { Inner, Law } from "./law.ts";

/**
 * Mean speed while the engine runs, km/h. Common practice, no source; it only says what the yearly
 * distance means in hours before the machine's own hours speak.
 */
const MEAN_SPEED = 40;

/** A ridden history told in engine hours. */
export interface HoursHistory extends Omit<RiddenHistory, "readings"> {
  /** Totals of the hours meter, in any order. */
  readonly readings: readonly { readonly day: number; readonly hours: number }[];
}

/**
 * The law of a machine's engine hours: the same model on the hours times a mean speed. Of the law that
 * comes back every total, distance and rate, `last.km` too, counts in hours. Null without a reading.
 */
export function fitHours(history: HoursHistory): Law | null {
  const readings = history.readings.map(({ day, hours }) => ({ day, km: hours * MEAN_SPEED }));
  const law = fitDistance({ ...history, readings });
  return law === null ? null : inHours(law);
}

function inHours(law: Law): Law {
  return {
    asOf: law.asOf,
    last: { day: law.last.day, km: law.last.km / MEAN_SPEED },
    parked: law.parked,
    reachedBy: (hours, day) => law.reachedBy(hours * MEAN_SPEED, day),
    dayReached: (hours, p, cap) => law.dayReached(hours * MEAN_SPEED, p, cap),
    daysReached: (hours, ps, cap) => law.daysReached(hours * MEAN_SPEED, ps, cap),
    passedOn: (hours) => law.passedOn(hours * MEAN_SPEED),
    totalToday: (p) => law.totalToday(p) / MEAN_SPEED,
    meanToday: () => law.meanToday() / MEAN_SPEED,
    perDay: (p) => law.perDay(p) / MEAN_SPEED,
    meanPerDay: () => law.meanPerDay() / MEAN_SPEED,
    leftAtMost: (target, hours) => law.leftAtMost(target * MEAN_SPEED, hours * MEAN_SPEED),
    riding: () => inHours(law.riding()),
    at: (asOf) => inHours(law.at(asOf)),
    get inner() {
      return innerInHours(law.inner);
    },
  };
}

function innerInHours(inner: Inner): Inner {
  return {
    ...inner,
    r1: inner.r1 / MEAN_SPEED,
    r2: inner.r2 / MEAN_SPEED,
    r3: inner.r3 / MEAN_SPEED,
  };
}
