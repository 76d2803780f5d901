import { countsWithin } from "./counts-within.ts";

/** A task as followers were told of it; days count from 1970-01-01, with fractions. */
export interface Job {
  /** Days by which it is reached with probability 0.1, 0.5 and 0.9; null = not in sight. */
  from: number;
  most: number | null;
  to: number | null;
  /** Days from one time to the next; null where it does not come again. */
  again: number | null;
  /** How long it takes; null where nobody said. */
  minutes: number | null;
  /** It has come due and waits to be done. */
  waiting: boolean;
}

export interface Load {
  /** How many jobs are expected. */
  jobs: number;
  /** How long they take together, as far as that is known. */
  minutes: number;
  /** How many of them nobody said a time for. */
  untimed: number;
}

export interface WeekLoad extends Load {
  /** Between which numbers the jobs lie with probability 0.8 at least. */
  likely: { from: number; to: number };
}

export interface Workload {
  waiting: Load;
  weeks: WeekLoad[];
}

/** A job and how many times it is expected, which is a chance where it comes once at most. */
interface Expected {
  job: Job;
  times: number;
}

/** A chance smaller than this changes no figure that is told. */
const NEGLIGIBLE = 1e-6;

/**
 * The jobs to expect in each week: how likely each comes due in it, and, as though each were done
 * when it comes due, how likely it comes again. What waits is taken to be done on the first day;
 * what should have come due before it counts in the first week. Machines are taken to be ridden
 * independently of one another.
 * @param edges days on which the weeks begin, the first of them today, and the day after the last
 */
export function workload(jobs: readonly Job[], edges: readonly number[]): Workload {
  const today = edges[0] ?? 0;
  const before = jobs.map(() => 0);
  const weeks = edges.slice(1).map((edge) => {
    const expected: Expected[] = [];
    for (const [index, job] of jobs.entries()) {
      const byThen = timesBy(job, edge, today);
      const times = byThen - (before[index] ?? 0);
      before[index] = byThen;
      if (times > NEGLIGIBLE) expected.push({ job, times });
    }
    return weekOf(expected);
  });
  const waiting = jobs.filter((job) => job.waiting).map((job) => ({ job, times: 1 }));
  return { waiting: loadOf(waiting), weeks };
}

/** How many times the job is expected to come due by the day, beyond the one that waits already. */
function timesBy(job: Job, day: number, today: number): number {
  const law = job.waiting ? { from: today, most: today, to: today } : job;
  const apart = Math.max(1, job.again ?? Number.POSITIVE_INFINITY);
  let times = job.waiting ? 0 : reachedBefore(law, day);
  for (let later = apart; ; later += apart) {
    const chance = reachedBefore(law, day - later);
    if (chance < NEGLIGIBLE) return times;
    times += chance;
  }
}

/**
 * P(reached before the day begins) from the three quantiles that were told: on either side of the median a
 * logistic law, as wide as the quantile of that side says. It meets all three, and its tails are
 * long as those of the forecast are.
 */
export function reachedBefore(
  { from, most, to }: Pick<Job, "from" | "most" | "to">,
  day: number,
): number {
  if (most === null) return day < from ? 0 : 0.1;
  const width = day <= most ? most - from : (to ?? Number.POSITIVE_INFINITY) - most;
  if (width <= 0) return day > most ? 1 : 0;
  return 1 / (1 + Math.exp((-LOGIT_90 * (day - most)) / width));
}

/** The 0.9 quantile of the standard logistic law: the logarithm of the odds 0.9 to 0.1. */
const LOGIT_90 = Math.log(9);

function weekOf(expected: readonly Expected[]): WeekLoad {
  const times = expected.map((one) => one.times);
  return { ...loadOf(expected), likely: countsWithin(times, 0.1, 0.9) };
}

function loadOf(expected: readonly Expected[]): Load {
  const load = { jobs: 0, minutes: 0, untimed: 0 };
  for (const { job, times } of expected) {
    load.jobs += times;
    if (job.minutes === null) load.untimed += times;
    else load.minutes += times * job.minutes;
  }
  return load;
}
