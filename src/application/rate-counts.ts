/** So many requests in so many seconds. */
export interface Quota {
  readonly requests: number;
  readonly seconds: number;
}

export type RatePolicy = "key" | "address" | "refusedKeys";

/** What was used of a quota in the running window, and for how many milliseconds that still runs. */
export interface RateCount {
  readonly used: number;
  readonly msLeft: number;
}

/**
 * Counts requests in fixed windows: one begins with the first request after the one before has ended.
 * Whoever shares the store counts together.
 */
export interface RateCounts {
  /** Counts one, and answers with it. */
  add(policy: RatePolicy, who: string, quota: Quota): Promise<RateCount>;
  /** Counts nothing; null while no window runs. */
  look(policy: RatePolicy, who: string): Promise<RateCount | null>;
}
