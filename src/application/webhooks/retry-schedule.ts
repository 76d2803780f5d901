import type { Instant } from "../../domain/calendar/plain-date.ts";

const SECOND = 1_000;
const MINUTE = 60 * SECOND;
const HOUR = 60 * MINUTE;

/** Waits before each attempt, as Standard Webhooks 1.0.0 recommends them. */
const WAITS = [
  0,
  5 * SECOND,
  5 * MINUTE,
  30 * MINUTE,
  2 * HOUR,
  5 * HOUR,
  10 * HOUR,
  14 * HOUR,
  20 * HOUR,
  24 * HOUR,
];

/** Longer than all waits together: afterwards a delivery is failed. */
export const LONGEST_MS = 5 * 24 * HOUR;

/**
 * When a delivery is tried again after so many attempts; null when it has been tried often enough.
 * A receiver that asks for more time gets it, up to a day.
 */
export function triedAgainAt(
  attempts: number,
  now: Instant,
  retryAfterMs: number | null,
): Instant | null {
  const wait = WAITS[attempts];
  if (wait === undefined) return null;
  return now + Math.max(wait, Math.min(retryAfterMs ?? 0, 24 * HOUR));
}
