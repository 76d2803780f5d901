import { addDays, type Instant, MS_PER_DAY } from "../calendar/plain-date.ts";
import { firstOfHumped } from "./first-day.ts";
import type { Outlook } from "./outlook.ts";
import type { Deferral } from "./reminder.ts";
import { startOf } from "./sending-hour.ts";
import { HORIZON_DAYS } from "./stages.ts";
import { MORE_LIKELY_THAN_NOT } from "./thresholds.ts";

/**
 * When a deferral ends: at the start of its date in the zone, or when the total has reached its
 * distance, more likely than not; the first of both. A distance alone holds no longer than the
 * calendar's permitted window, and no longer than plans are made for.
 */
export function deferralEnds(
  { on, distance }: Deferral,
  outlook: Outlook,
  now: Instant,
  zone: string,
): Instant {
  const horizon = now + HORIZON_DAYS * MS_PER_DAY;
  const dated = on === undefined ? null : startOf(on, zone);
  if (distance === undefined || (dated !== null && dated <= now)) return dated ?? now;
  const { lateDate } = outlook;
  const latest = dated ?? (lateDate === undefined ? horizon : startOf(addDays(lateDate, 1), zone));
  return Math.min(latest, distanceReached(distance, outlook, now) ?? horizon);
}

function distanceReached(total: number, outlook: Outlook, now: Instant): Instant | null {
  const today = now / MS_PER_DAY;
  const reached = (day: number) => outlook.totalReached?.(day, total) ?? 0;
  if (reached(today) >= MORE_LIKELY_THAN_NOT) return now;
  const from = Math.floor(today) + 1;
  const range = [from, from + HORIZON_DAYS] as const;
  const day = firstOfHumped(reached, MORE_LIKELY_THAN_NOT, today, range);
  return day === null ? null : day * MS_PER_DAY;
}
