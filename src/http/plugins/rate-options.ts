import type { Quota, RateCounts } from "../../application/rate-counts.ts";

export interface RateOptions {
  /** Requests of one API key. */
  readonly key: Quota;
  /** Requests without a key, of one address. */
  readonly address: Quota;
  /** Refused keys, of one address: beyond it none is looked up any more. */
  readonly refusedKeys: Quota;
  /** An ioredis client, so that several processes count together. */
  readonly redis?: unknown;
  /** Without Redis they count together here; without either each process counts for itself. */
  readonly counts?: RateCounts;
}

/** 100 requests a second a key. */
export const DEFAULT_RATES: RateOptions = {
  key: { requests: 100, seconds: 1 },
  address: { requests: 100, seconds: 1 },
  refusedKeys: { requests: 300, seconds: 60 },
};
