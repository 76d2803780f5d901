import { lastPoint, type Track, trackUntil } from "../../../domain/usage/track.ts";
import { priorRate } from "../../../domain/usage/yearly-distance.ts";
import type { Method } from "../method.ts";
import { logLogistic } from "./log-logistic.ts";

/** What the naive methods look at: they take no notice of the season, of lay-ups and of silence. */
export interface Past {
  /** At most one reading a day, never falling. */
  readonly track: Track;
  /** Rate before any reading, km per day: what was declared, else the kind's. Above 0. */
  readonly prior: number;
}

/**
 * P(at least `left` km are ridden within `days` calendar days of the last reading), both above 0.
 * Never falls in `days`, never rises in `left`.
 */
export type DistanceLaw = (left: number) => (days: number) => number;

/** Spread of the logarithm of a crossing time when nothing is known but the prior rate. */
export const PRIOR_SPREAD = 0.7;

/**
 * A naive method under its name. While no distance was seen (one reading, or a meter that never
 * moved) each of them believes the same: the prior rate with the prior spread; `lawOf` is asked
 * only for a past of at least two readings with a distance between the first and the last.
 */
export function naiveMethod(name: string, lawOf: (past: Past) => DistanceLaw): Method {
  return {
    name,
    believe: ({ readings, asOf, kind, declaredKmPerYear }) => {
      const track = trackUntil(readings, asOf);
      if (track === null) throw new Error("a forecast needs a reading");
      const last = lastPoint(track);
      const prior = priorRate(kind, declaredKmPerYear);
      const moved = last.km > track[0].km;
      const law = moved ? lawOf({ track, prior }) : logLogistic(prior, PRIOR_SPREAD);
      return {
        crossing: (km) => {
          const reached = law(km - last.km);
          return (day) => (day > last.day ? reached(day - last.day) : 0);
        },
      };
    },
  };
}
