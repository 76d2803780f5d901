import { seeded } from "../seeded.ts";
import { type Interval, intervalsOf } from "./intervals.ts";
import { logLogistic } from "./log-logistic.ts";
import { type DistanceLaw, naiveMethod, PRIOR_SPREAD } from "./naive-method.ts";
import { paceSince } from "./pace-since.ts";

const PATHS = 200;
/** A path that needs more draws goes through its own again. */
const DRAWS = 128;
/** With fewer intervals than this there is nothing to resample: they would all but repeat. */
const LEAST_INTERVALS = 4;

/** The same draws for every machine and target: a further target is never reached earlier. */
const UNIFORM = drawn();

/**
 * The future is put together from past intervals drawn with replacement (Efron 1979, from memory);
 * inside an interval the distance grows evenly. The law is the share of paths that have crossed.
 */
export const BOOTSTRAP = naiveMethod("bootstrap of past increments", ({ track, prior }) => {
  const intervals = intervalsOf(track);
  if (intervals.length >= LEAST_INTERVALS) return shareOfPaths(intervals);
  return logLogistic(paceSince(track, track[0].day) ?? prior, PRIOR_SPREAD);
});

function drawn(): Float64Array {
  const random = seeded(1);
  return Float64Array.from({ length: PATHS * DRAWS }, () => random());
}

function shareOfPaths(intervals: readonly Interval[]): DistanceLaw {
  return (left) => {
    const crossings = new Float64Array(PATHS);
    for (let path = 0; path < PATHS; path += 1) {
      crossings[path] = daysUntil(intervals, path, left);
    }
    crossings.sort();
    return (days) => countUpTo(crossings, days) / PATHS;
  };
}

/** Days in which a path covers `left` km; infinite when it drew only intervals without distance. */
function daysUntil(intervals: readonly Interval[], path: number, left: number): number {
  let [days, km] = [0, 0];
  for (let draw = path * DRAWS; draw < (path + 1) * DRAWS; draw += 1) {
    const place = Math.floor((UNIFORM[draw] as number) * intervals.length);
    const interval = intervals[place] as Interval;
    if (km + interval.km >= left) return days + (interval.days * (left - km)) / interval.km;
    days += interval.days;
    km += interval.km;
  }
  if (km === 0) return Number.POSITIVE_INFINITY;
  const rounds = Math.floor(left / km);
  const rest = left - rounds * km;
  return rounds * days + (rest > 0 ? daysUntil(intervals, path, rest) : 0);
}

function countUpTo(ascending: Float64Array, most: number): number {
  let [low, high] = [0, ascending.length];
  while (low < high) {
    const middle = (low + high) >> 1;
    if ((ascending[middle] as number) <= most) low = middle + 1;
    else high = middle;
  }
  return low;
}
