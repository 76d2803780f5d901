import type { Quota, RateCount, RatePolicy } from "../../application/rate-counts.ts";
import { Refusal } from "../../domain/failure/failure.ts";
import { type RateHeaders, rateHeaders } from "../rate-headers.ts";
import type { RateOptions } from "./rate-options.ts";
import { countsWith } from "./rate-stores.ts";

export interface RateLimits {
  /** Counts a request. @throws Refusal tooManyRequests */
  count(policy: RatePolicy, who: string): Promise<RateHeaders>;
  /** Refuses when the quota is used up already, and counts nothing. @throws Refusal tooManyRequests */
  check(policy: RatePolicy, who: string): Promise<void>;
  /** Judges what was counted elsewhere. @throws Refusal tooManyRequests */
  judge(policy: RatePolicy, count: RateCount): RateHeaders;
  /** What the look-up of a key is to count and check itself; null where it counts nothing. */
  readonly withKey: Pick<RateOptions, "key" | "refusedKeys"> | null;
}

export function rateLimits(options: RateOptions): RateLimits {
  const counts = countsWith(options);
  const judge = (policy: RatePolicy, count: RateCount): RateHeaders => {
    const left = options[policy].requests - count.used;
    if (left < 0) throw tooMany(policy, options[policy], count);
    return rateHeaders(policy, options[policy], left, secondsOf(count, options[policy]));
  };
  const { key, refusedKeys } = options;
  return {
    judge,
    async count(policy, who) {
      return judge(policy, await counts.add(policy, who, options[policy]));
    },
    async check(policy, who) {
      const count = await counts.look(policy, who);
      if (count !== null && count.used >= options[policy].requests) {
        throw tooMany(policy, options[policy], count);
      }
    },
    withKey: options.counts && options.redis === undefined ? { key, refusedKeys } : null,
  };
}

function tooMany(policy: RatePolicy, quota: Quota, count: RateCount): Refusal {
  const retryAfter = secondsOf(count, quota);
  return new Refusal({ kind: "tooManyRequests", retryAfter, policy, quota });
}

/** A request that began before the one which opened the window sees a little more than the window left. */
function secondsOf({ msLeft }: RateCount, { seconds }: Quota): number {
  return Math.min(seconds, Math.max(1, Math.ceil(msLeft / 1000)));
}
