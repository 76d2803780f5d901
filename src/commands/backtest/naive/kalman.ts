import { logistic } from "../../../domain/forecast/mixture.ts";
import { intervalsOf } from "./intervals.ts";
import { type DistanceLaw, naiveMethod, type Past, PRIOR_SPREAD } from "./naive-method.ts";
import { paceSince } from "./pace-since.ts";
import { scatterDays } from "./scatter-days.ts";

/** Variance that a rate gains in a day, relative to the mean rate: it wanders by half in a year. */
const WANDER_PER_DAY = 0.5 ** 2 / 365.25;

/** Variances relative to the square of the rate. */
interface Level {
  /** Filtered rate at the last reading, km per day. Above 0. */
  readonly rate: number;
  /** Of the rate itself. */
  readonly level: number;
  /** Of the rate, gained in each day to come. */
  readonly wander: number;
  /** Of the distance of one day. */
  readonly noise: number;
}

/**
 * Local level model of the daily rate: the rate walks at random, an interval shows it with a
 * variance of noise / dt. Formulas of the filter: Kalman's recursion for one state with known
 * variances (Harvey 1989, from memory).
 */
export const KALMAN = naiveMethod("Kalman local level", (past) => crossingLaw(filtered(past)));

function filtered({ track, prior }: Past): Level {
  const intervals = intervalsOf(track);
  const mean = paceSince(track, track[0].day) ?? prior;
  const noise = mean ** 2 * scatterDays(intervals, mean);
  const wander = mean ** 2 * WANDER_PER_DAY;
  let rate = prior;
  let variance = (PRIOR_SPREAD * Math.max(prior, mean)) ** 2;
  for (const { days, km } of intervals) {
    variance += wander * days;
    const observed = noise / days;
    const kept = observed / (variance + observed);
    // Weighted mean instead of rate + gain x error, so that rounding never takes the rate to 0.
    rate = kept * rate + (variance / (variance + observed)) * (km / days);
    variance *= kept;
  }
  const square = rate ** 2;
  return { rate, level: variance / square, wander: wander / square, noise: noise / square };
}

/**
 * The distance of t days has the mean rate x t and the relative variance level + wander t / 3 +
 * noise / t (integral of a random walk, plain calculus); a log-normal law of these moments says
 * how likely it is past what is left. The wandering is taken at the earlier of t and the
 * expected time, the noise at the later, so that the law never falls in time and never rises in
 * distance. The normal law is read off the logistic one, at most 0.01 away.
 */
function crossingLaw({ rate, level, wander, noise }: Level): DistanceLaw {
  return (left) => {
    const expected = left / rate;
    return (days) => {
      const [earlier, later] = days < expected ? [days, expected] : [expected, days];
      const variance = Math.log1p(level + (wander * earlier) / 3 + noise / later);
      return logistic((Math.log(days / expected) - variance / 2) / Math.sqrt(variance));
    };
  };
}
