import { lomaxQuantile } from "./lomax.ts";

/**
 * Of the riders who go on and do not keep to their average of all time, the share that keeps to this
 * season's habit; the others go back to the long-run rate.
 */
const SEASON_SHARE = 0.45;
/** Shape of the remaining wait of a parked machine. */
const WAIT_SHAPE = 1.5;
/** Scale of that wait at no silence, clock days, and its growth per clock day of silence. */
const WAIT_SCALE = 120;
const WAIT_GROWTH = 1;
/** The wait's law is carried by the middles of four equal shares of it. */
const WAITS = [1 / 8, 3 / 8, 5 / 8, 7 / 8].map((share) => lomaxQuantile(share, WAIT_SHAPE));
/** No law is wider than this variance of the logarithm. */
const MOST_VARIANCE = 2.5;
/** Days added to the expected time, so that the next few days are not boundlessly uncertain. */
const TIME_OFFSET = 4;
/** On the early side (z below 0) z counts for this much: riders come early a little more often than the law would say. */
const EARLY = 0.9;
/** The logistic distribution function with this slope stays within 0.01 of the normal one. */
const LOGISTIC_SLOPE = 1.7;

/** What the components of a law have in common. */
export interface Spread {
  /** Rate now, km per clock day. */
  readonly r1: number;
  /** Variance of the log rate. */
  readonly rateVariance: number;
  /** Scatter, clock days. */
  readonly scatter: number;
  /** Shift of the centre, in units of the spread. */
  readonly shift: number;
  /** Clock days in which the rate of now fades into that of the component. */
  readonly fading: number;
}

/** Ways of going on: three for a rider who rides, four for one who takes it up again after a wait. */
const RIDING = 3;
const COMPONENTS = RIDING + WAITS.length;

/**
 * The ways in which it may go on, with what they have in common. Column arrays, since evaluating them
 * is the whole cost of a forecast.
 */
export interface Mixture {
  readonly spread: Spread;
  /** Probability of each component; they add up to 1. */
  readonly weight: Float64Array;
  /** Clock days after the last reading until it moves. */
  readonly delay: Float64Array;
  /** Long-run rate, km per clock day. */
  readonly rate: Float64Array;
}

/** What has been heard of a machine since its last reading: nothing. */
export interface Silence {
  /** P(parked). */
  readonly parked: number;
  /** Clock days since the last reading. */
  readonly clockDays: number;
  /** Usual gap between readings, clock days: a parked machine is taken to have moved that long. */
  readonly gap: number;
  /** Share of the silence beyond a gap in which a machine that is ridden has not moved either. */
  readonly standing: number;
}

/** Rates that a machine may settle to, km per clock day. */
export interface LongRunRates {
  /** This season's habit. */
  readonly r2: number;
  /** What it tends to go back to. */
  readonly r3: number;
  /** Its average of all time, with the share of riders who keep to it. */
  readonly ever: number;
  readonly everShare: number;
}

export function mixtureOf(
  spread: Spread,
  { r2, r3, ever, everShare }: LongRunRates,
  { parked, clockDays, gap, standing }: Silence,
): Mixture {
  const beyond = Math.max(0, clockDays - gap);
  const scale = WAIT_SCALE + WAIT_GROWTH * clockDays;
  const weight = new Float64Array(COMPONENTS).fill(parked / WAITS.length);
  const delay = new Float64Array(COMPONENTS).fill(standing * beyond);
  const rate = new Float64Array(COMPONENTS).fill(r3);
  const others = (1 - everShare) * (1 - parked);
  weight[0] = SEASON_SHARE * others;
  weight[1] = (1 - SEASON_SHARE) * others;
  weight[2] = everShare * (1 - parked);
  rate[0] = r2;
  rate[2] = ever;
  for (let j = 0; j < WAITS.length; j++) delay[RIDING + j] = beyond + scale * (WAITS[j] ?? 0);
  return { spread, weight, delay, rate };
}

/**
 * Expected distance (km) `time` clock days after it moves: starts at the rate of now and fades into
 * `rate`. Increasing, because both are positive; never below the slower of the two times the time,
 * which rounding could otherwise undercut in the first moments.
 */
export function expectedDistance({ r1, fading }: Spread, rate: number, time: number): number {
  const faded = rate * time + (r1 - rate) * fading * (1 - Math.exp(-time / fading));
  return Math.max(faded, Math.min(r1, rate) * time);
}

/**
 * Share of a component that has covered `left` km (above 0) where `expected` km (above 0) are
 * expected: a log-logistic law whose variance is that of the rate plus that of the path, the latter
 * falling with the expected time. The variance is taken at the larger of the two distances, so that
 * the share never falls in time and never rises in distance.
 */
function share(spread: Spread, expected: number, rate: number, left: number): number {
  const span = Math.max(expected, left) / rate;
  const variance = spread.rateVariance + spread.scatter / (span + TIME_OFFSET);
  const s = Math.sqrt(Math.min(variance, MOST_VARIANCE));
  const z = Math.log(expected / left) / s + spread.shift * s;
  return logistic(z < 0 ? EARLY * z : z);
}

/** Logistic approximation of the standard normal distribution function. */
export function logistic(z: number): number {
  return 1 / (1 + Math.exp(-LOGISTIC_SLOPE * z));
}

/**
 * P(at least `left` km are ridden within `time` clock days of the last reading), left above 0.
 * Never falls in `time`, never rises in `left`; 0 when time is not positive.
 */
export function movedWithin(mixture: Mixture, time: number, left: number): number {
  const { spread, weight, delay, rate } = mixture;
  let sum = 0;
  for (let j = 0; j < COMPONENTS; j++) {
    const moving = time - (delay[j] as number);
    if (moving > 0) {
      const k = rate[j] as number;
      sum += (weight[j] as number) * share(spread, expectedDistance(spread, k, moving), k, left);
    }
  }
  return sum;
}

/**
 * P(at least `left` km are ridden between two moments, given in clock days since the last reading):
 * the same law about what each component expects between the two.
 */
export function movedBetween(mixture: Mixture, from: number, to: number, left: number): number {
  const { spread, weight, rate } = mixture;
  let sum = 0;
  for (let j = 0; j < COMPONENTS; j++) {
    const expected = expectedBetween(mixture, j, from, to);
    if (expected > 0) {
      sum += (weight[j] as number) * share(spread, expected, rate[j] as number, left);
    }
  }
  return sum;
}

/** Expected distance (km) between two moments, over all components. */
export function meanBetween(mixture: Mixture, from: number, to: number): number {
  let sum = 0;
  for (let j = 0; j < COMPONENTS; j++) {
    sum += (mixture.weight[j] as number) * expectedBetween(mixture, j, from, to);
  }
  return sum;
}

/** Upper bound of the chance that anything at all is ridden between two moments. */
export function movingUntil(mixture: Mixture, to: number): number {
  let sum = 0;
  for (let j = 0; j < COMPONENTS; j++) {
    if ((mixture.delay[j] as number) < to) sum += mixture.weight[j] as number;
  }
  return sum;
}

function expectedBetween(mixture: Mixture, j: number, from: number, to: number): number {
  const { spread, delay, rate } = mixture;
  const k = rate[j] as number;
  const until = to - (delay[j] as number);
  if (until <= 0) return 0;
  const since = from - (delay[j] as number);
  const before = since > 0 ? expectedDistance(spread, k, since) : 0;
  return expectedDistance(spread, k, until) - before;
}
