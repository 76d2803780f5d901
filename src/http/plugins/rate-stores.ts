import {
  type RateLimiterAbstract,
  RateLimiterMemory,
  RateLimiterRedis,
  RateLimiterRes,
} from "rate-limiter-flexible";
import type { RateCount, RateCounts, RatePolicy } from "../../application/rate-counts.ts";
import type { RateOptions } from "./rate-options.ts";

/**
 * Where requests are counted: in Redis, else where the options say, else in this process. With that
 * place away each process counts for itself: a limit that is looser beats an API that is down.
 */
export function countsWith(options: RateOptions): RateCounts {
  const own = limiterCounts(options);
  if (options.redis !== undefined || options.counts === undefined) return own;
  return eitherOf(options.counts, own);
}

function limiterCounts(options: RateOptions): RateCounts {
  const limiters: Record<RatePolicy, RateLimiterAbstract> = {
    key: limiter("key", options),
    address: limiter("address", options),
    refusedKeys: limiter("refusedKeys", options),
  };
  return {
    async add(policy, who) {
      try {
        return countOf(await limiters[policy].consume(who));
      } catch (reason) {
        // Thrown where the quota is used up.
        if (reason instanceof RateLimiterRes) return countOf(reason);
        throw reason;
      }
    },
    async look(policy, who) {
      const found = await limiters[policy].get(who);
      return found === null ? null : countOf(found);
    },
  };
}

function limiter(name: RatePolicy, { redis, ...quotas }: RateOptions): RateLimiterAbstract {
  const { requests: points, seconds: duration } = quotas[name];
  const limits = { keyPrefix: `rate:${name}`, points, duration };
  const memory = new RateLimiterMemory(limits);
  if (redis === undefined) return memory;
  return new RateLimiterRedis({ ...limits, storeClient: redis, insuranceLimiter: memory });
}

function eitherOf(first: RateCounts, insurance: RateCounts): RateCounts {
  return {
    add: (policy, who, quota) =>
      first.add(policy, who, quota).catch(() => insurance.add(policy, who, quota)),
    look: (policy, who) => first.look(policy, who).catch(() => insurance.look(policy, who)),
  };
}

function countOf({ consumedPoints, msBeforeNext }: RateLimiterRes): RateCount {
  return { used: consumedPoints, msLeft: msBeforeNext };
}
