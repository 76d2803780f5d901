import type { Interval } from "./intervals.ts";

/** Days and km that still count. */
export interface Evidence {
  readonly days: number;
  readonly km: number;
}

/**
 * What is left of the intervals when a day weighs half after `halfLife` days: the integral of
 * 2^(-age / halfLife) over each interval, in which the rate is taken to be even. Plain calculus.
 */
export function forgotten(intervals: readonly Interval[], halfLife: number): Evidence {
  const decay = Math.LN2 / halfLife;
  let [days, km] = [0, 0];
  for (const interval of intervals) {
    const weight = (Math.exp(-decay * interval.age) * -Math.expm1(-decay * interval.days)) / decay;
    days += weight;
    km += (interval.km / interval.days) * weight;
  }
  return { days, km };
}
