import type { Habit } from "./habit.ts";
import type { Ridden } from "./interval-ridden.ts";

/** How fast a machine is ridden, km per clock day, at three lengths of memory. All above 0. */
export interface Rates {
  /** Now. */
  readonly r1: number;
  /** This season's habit. */
  readonly r2: number;
  /** What the machine tends to go back to. */
  readonly r3: number;
  /** Clock days of evidence behind r2, each halved by its age. */
  readonly evidence: number;
}

/** Clock days that the long-run rate weighs against this season's habit. */
const SEASON_PRIOR_DAYS = 12;
/** Clock days that a declared yearly distance weighs: a rider knows the own habit better than the kind does. */
const DECLARED_PRIOR_DAYS = 120;

/**
 * Three shrunk rates, each falling back on the slower one and the slowest on what is expected:
 * r = (X + n fallback)/(E + n), E = sum 2^(-age/half-life) clock days, X the same of km. This is the
 * posterior mean of a gamma prior worth n days under exponentially forgotten evidence. Expected is
 * the prior, which gives way to all that was ever ridden where the habit says so: a rider who is no
 * average rider does not become one again after each quiet month.
 * @param prior km per clock day, above 0
 */
export function ratesOf(
  ridden: readonly Ridden[],
  habit: Habit,
  prior: number,
  declared: boolean,
): Rates {
  const longDays = declared ? DECLARED_PRIOR_DAYS : habit.priorDays;
  const long = remembered(ridden, habit.longHalfLife);
  const season = remembered(ridden, habit.seasonHalfLife);
  const expected = expectedRate(ridden, habit, prior);
  const r3 = (long.km + longDays * expected) / (long.clockDays + longDays);
  const r2 = (season.km + SEASON_PRIOR_DAYS * r3) / (season.clockDays + SEASON_PRIOR_DAYS);
  if (habit.now === null) return { r1: r2, r2, r3, evidence: season.clockDays };
  const now = remembered(ridden, habit.now.halfLife);
  const r1 = (now.km + habit.now.priorDays * r2) / (now.clockDays + habit.now.priorDays);
  return { r1, r2, r3, evidence: season.clockDays };
}

function expectedRate(ridden: readonly Ridden[], { kindDays }: Habit, prior: number): number {
  if (kindDays === null) return prior;
  const ever = remembered(ridden, Number.POSITIVE_INFINITY);
  return (ever.km + kindDays * prior) / (ever.clockDays + kindDays);
}

function remembered(
  ridden: readonly Ridden[],
  halfLife: number,
): { clockDays: number; km: number } {
  const decay = -Math.LN2 / halfLife;
  let clockDays = 0;
  let km = 0;
  for (const interval of ridden) {
    const weight = Math.exp(decay * interval.age);
    clockDays += weight * interval.clockDays;
    km += weight * interval.km;
  }
  return { clockDays, km };
}
