import type { Instant } from "../calendar/plain-date.ts";

/** A phone's clock may be this much fast. */
const LEEWAY_MS = 5 * 60_000;

/** Whether an instant lies further ahead of now than a clock that runs fast explains. */
export function futureFault(at: Instant, now: Instant): boolean {
  return at > now + LEEWAY_MS;
}
