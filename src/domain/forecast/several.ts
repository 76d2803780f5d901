import type { Law } from "./law.ts";

/**
 * One limit among several: a total on a meter (in the unit that its law counts in), or the day on
 * which a date begins, days since 1970-01-01.
 */
export type SeveralLimit =
  | { readonly law: Law; readonly target: number }
  | { readonly date: number };

/** When a due point with one or several limits is reached, as a distribution. */
export interface Crossing {
  /** P(reached by `day`), never falling in it. */
  reachedBy(day: number): number;
  /** Day by which it is reached with probability p; null when more than `cap` days after `asOf`. */
  dayReached(p: number, cap?: number): number | null;
  /** The same for several p, in their order. */
  daysReached(ps: readonly number[], cap?: number): (number | null)[];
}

/**
 * Whichever comes first. Distance and hours of one machine rise together, because both are made by
 * the same rides: they are coupled comonotonely (a machine early by one meter is as early by the
 * other). Then P(first by t) is the largest of the limits' own probabilities and each quantile the
 * earliest of theirs. Of all positively dependent pairs this is the lower bound of P(first by t); the
 * upper one, independence, is 1 - prod (1 - P). A date is certain, so with it nothing is assumed.
 * Without limits it is never reached.
 */
export function firstOf(limits: readonly SeveralLimit[]): Crossing {
  const daysReached = (ps: readonly number[], cap?: number) =>
    combine(limits, ps, cap, (days) => Math.min(...days));
  return {
    reachedBy: (day) => limits.reduce((most, limit) => Math.max(most, chance(limit, day)), 0),
    dayReached: (p, cap) => daysReached([p], cap)[0] ?? null,
    daysReached,
  };
}

/**
 * Whichever comes last, coupled in the same way: the smallest of the probabilities, the latest of the
 * quantiles, null when one of them is. The upper bound of P(last by t) among positively dependent
 * pairs; the lower one is the product. Without limits it is never reached.
 */
export function lastOf(limits: readonly SeveralLimit[]): Crossing {
  const daysReached = (ps: readonly number[], cap?: number) =>
    combine(limits, ps, cap, (days) => Math.max(...days));
  return {
    reachedBy: (day) =>
      limits.length === 0
        ? 0
        : limits.reduce((least, limit) => Math.min(least, chance(limit, day)), 1),
    dayReached: (p, cap) => daysReached([p], cap)[0] ?? null,
    daysReached,
  };
}

function chance(limit: SeveralLimit, day: number): number {
  if ("date" in limit) return day >= limit.date ? 1 : 0;
  return limit.law.reachedBy(limit.target, day);
}

/** Quantiles of the limits put together for each p; a day that is not known counts as endlessly far. */
function combine(
  limits: readonly SeveralLimit[],
  ps: readonly number[],
  cap: number | undefined,
  choose: (days: readonly number[]) => number,
): (number | null)[] {
  if (limits.length === 0) return ps.map(() => null);
  const each = limits.map((limit) =>
    "date" in limit
      ? ps.map(() => limit.date)
      : limit.law.daysReached(limit.target, ps, cap).map((day) => day ?? Number.POSITIVE_INFINITY),
  );
  return ps.map((_, i) => {
    const day = choose(each.map((days) => days[i] ?? Number.POSITIVE_INFINITY));
    return day === Number.POSITIVE_INFINITY ? null : day;
  });
}
