import { serializeList } from "structured-headers";
import type { Quota } from "../application/rate-counts.ts";

/** The two header fields of the IETF draft "RateLimit header fields for HTTP" (revision of 2025). */
export interface RateHeaders {
  readonly "ratelimit-policy": string;
  readonly ratelimit: string;
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
