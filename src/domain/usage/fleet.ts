import { clockOf } from "./clock.ts";
import { riddenBetween } from "./interval-ridden.ts";
import { scatterOf } from "./scatter.ts";
import { type Season, withMeanOne } from "./season.ts";
import { seasonSeen } from "./season-seen.ts";
import { lastPoint, type Point, trackUntil } from "./track.ts";

/** What is expected of a machine before its own readings speak. */
export interface Expected {
  /** km per clock day, above 0. */
  readonly rate: number;
  /** Variance of the logarithm of the machine's own rate around it. */
  readonly rateVariance: number;
  /** Scatter, clock days. */
  readonly scatter: number;
  readonly season: Season;
}

/** Machines that the kind weighs against those of the fleet, in the mean and in its variance. */
const KIND_MACHINES = 2;
/** Days that the kind's season weighs in each twelfth against what the whole fleet was seen to do. */
const SEASON_DAYS = 600;
/** A machine that was seen for less than a month says nothing of its kind of use. */
const LEAST_DAYS = 30;
/** Nor does one that has hardly moved. */
const LEAST_KM = 1;
/** Nor does the variance fall below this: no two machines are used alike. Common practice, no source. */
const LEAST_VARIANCE = 0.02;

/**
 * What the other machines of an account lend to one that has few readings yet: their rate, how far
 * they differ, their scatter and their season, each mixed with what is expected of the kind. The
 * mixing is empirical Bayes: machine i tells its log rate y_i with variance s_i^2 = B_i/E_i, so it weighs
 * w_i = V/(V + s_i^2); mean (k ln kind + sum w_i y_i)/(k + sum w_i), variance of a further machine
 * T (1 + 1/(k + sum w_i)) with T = (k V + sum w_i (y_i - mean)^2)/(k + sum w_i), k = 2 machines.
 * @param fleet totals (km) of each other machine, in any order; those after `asOf` are left out
 */
export function lentBy(
  fleet: readonly (readonly Point[])[],
  kind: Expected,
  asOf: number,
): Expected {
  const seen = fleet.flatMap((readings) => {
    const track = trackUntil(readings, asOf);
    const days = track === null ? 0 : lastPoint(track).day - track[0].day;
    const km = track === null ? 0 : lastPoint(track).km - track[0].km;
    return track === null || days < LEAST_DAYS || km < LEAST_KM ? [] : [track];
  });
  if (seen.length === 0) return kind;
  const season = pooledSeason(
    seen.map((track) => seasonSeen(track, kind.season)),
    kind.season,
  );
  const clock = clockOf(season, []);
  const told = seen.map((track) => {
    const ridden = riddenBetween(track, clock);
    const clockDays = clock.at(lastPoint(track).day) - clock.at(track[0].day);
    const scatter = scatterOf(ridden, kind.rate, kind.scatter);
    const logRate = Math.log((lastPoint(track).km - track[0].km) / clockDays);
    return {
      logRate,
      scatter,
      weight: kind.rateVariance / (kind.rateVariance + scatter / clockDays),
    };
  });
  return { ...pooledRate(told, kind), scatter: pooledScatter(told, kind), season };
}

interface Told {
  readonly logRate: number;
  readonly scatter: number;
  readonly weight: number;
}

function pooledRate(told: readonly Told[], kind: Expected): { rate: number; rateVariance: number } {
  let weights = KIND_MACHINES;
  let sum = KIND_MACHINES * Math.log(kind.rate);
  for (const { logRate, weight } of told) {
    weights += weight;
    sum += weight * logRate;
  }
  const mean = sum / weights;
  let squares = KIND_MACHINES * kind.rateVariance;
  for (const { logRate, weight } of told) squares += weight * (logRate - mean) ** 2;
  const between = Math.max(LEAST_VARIANCE, squares / weights);
  return { rate: Math.exp(mean), rateVariance: between * (1 + 1 / weights) };
}

/** Geometric mean, since scatter differs by factors. */
function pooledScatter(told: readonly Told[], { scatter }: Expected): number {
  let sum = KIND_MACHINES * Math.log(scatter);
  for (const one of told) sum += Math.log(one.scatter);
  return Math.exp(sum / (KIND_MACHINES + told.length));
}

function pooledSeason(
  seen: readonly { readonly days: Float64Array; readonly use: Float64Array }[],
  typical: Season,
): Season {
  return withMeanOne(
    typical.map((share, m) => {
      let [days, use] = [SEASON_DAYS, SEASON_DAYS * share];
      for (const one of seen) {
        days += one.days[m] ?? 0;
        use += one.use[m] ?? 0;
      }
      return use / days;
    }),
  );
}
