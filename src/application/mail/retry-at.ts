import type { Instant } from "../../domain/calendar/plain-date.ts";

const MINUTE = 60_000;
const LONGEST = 240 * MINUTE;

/**
 * When a message is tried again after so many attempts: 1 min doubling to 4 h, shortened by up to a
 * quarter at random so that what failed together does not come back together.
 */
export function retryAt(
  attempts: number,
  now: Instant,
  random: () => number = Math.random,
): Instant {
  const wait = Math.min(LONGEST, MINUTE * 2 ** Math.min(attempts - 1, 20));
  return now + Math.round(wait * (1 - 0.25 * random()));
}

/** When a message is tried again whose mail server could not be reached at all: 30 to 60 s. */
export function retrySoon(now: Instant, random: () => number = Math.random): Instant {
  return now + Math.round((MINUTE / 2) * (1 + random()));
}
