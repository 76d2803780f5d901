import {
  type RateLimiterAbstract,
  RateLimiterMemory,
  RateLimiterRedis,
  RateLimiterRes,
} from "rate-limiter-flexible";
import { serializeList } from "structured-headers";
import { Refusal } from "../../domain/failure/failure.ts";

/** So many requests in so many seconds. */
export interface Quota {
  readonly requests: number;
  readonly seconds: number;
}

export interface RateOptions {
  /** Requests of one API key. */
  readonly key: Quota;
  /** Requests without a key, of one address. */
  readonly address: Quota;
  /** Refused keys, of one address: beyond it none is looked up any more. */
  readonly refusedKeys: Quota;
  /** An ioredis client, so that several processes count together; each for itself without it. */
  readonly redis?: unknown;
}

/** 100 requests a second a key. */
export const DEFAULT_RATES: RateOptions = {
  key: { requests: 100, seconds: 1 },
  address: { requests: 100, seconds: 1 },
  refusedKeys: { requests: 300, seconds: 60 },
};

type Policy = "key" | "address" | "refusedKeys";

/** The two header fields of the IETF draft "RateLimit header fields for HTTP" (revision of 2025). */
export interface RateHeaders {
  readonly "ratelimit-policy": string;
  readonly ratelimit: string;
}

export interface RateLimits {
  /** Counts a request. @throws Refusal tooManyRequests */
  count(policy: Policy, who: string): Promise<RateHeaders>;
  /** Refuses when the quota is used up already, and counts nothing. @throws Refusal tooManyRequests */
  check(policy: Policy, who: string): Promise<void>;
}

/** How many are left and for how many seconds the window still runs, both whole numbers. */
export function rateHeaders(
  policy: string,
  quota: Quota,
  left: number,
  seconds: number,
): RateHeaders {
  return {
    "ratelimit-policy": serializeList([
      [
        policy,
        new Map([
          ["q", quota.requests],
          ["w", quota.seconds],
        ]),
      ],
    ]),
    ratelimit: serializeList([
      [
        policy,
        new Map([
          ["r", left],
          ["t", seconds],
        ]),
      ],
    ]),
  };
}

export function rateLimits(options: RateOptions): RateLimits {
  const limiters: Record<Policy, RateLimiterAbstract> = {
    key: limiter("key", options.key, options.redis),
    address: limiter("address", options.address, options.redis),
    refusedKeys: limiter("refusedKeys", options.refusedKeys, options.redis),
  };
  return {
    async count(policy, who) {
      try {
        const result = await limiters[policy].consume(who);
        return rateHeaders(policy, options[policy], result.remainingPoints, secondsOf(result));
      } catch (reason) {
        if (reason instanceof RateLimiterRes) throw tooMany(policy, reason);
        throw reason;
      }
    },
    async check(policy, who) {
      const result = await limiters[policy].get(who);
      if (result !== null && result.consumedPoints >= options[policy].requests) {
        throw tooMany(policy, result);
      }
    },
  };
}

/** With Redis away each process counts for itself: a limit that is looser beats an API that is down. */
function limiter(name: Policy, quota: Quota, redis: unknown): RateLimiterAbstract {
  const limits = { keyPrefix: `rate:${name}`, points: quota.requests, duration: quota.seconds };
  const memory = new RateLimiterMemory(limits);
  if (redis === undefined) return memory;
  return new RateLimiterRedis({ ...limits, storeClient: redis, insuranceLimiter: memory });
}

function tooMany(policy: Policy, result: RateLimiterRes): Refusal {
  return new Refusal({ kind: "tooManyRequests", retryAfter: secondsOf(result), policy });
}

function secondsOf(result: RateLimiterRes): number {
  return Math.max(1, Math.ceil(result.msBeforeNext / 1000));
}
