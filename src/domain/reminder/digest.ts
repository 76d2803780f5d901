import {
  addDays,
  addMonths,
  type Instant,
  isoWeekday,
  MS_PER_DAY,
  type PlainDate,
} from "../calendar/plain-date.ts";
import { dateAt } from "../calendar/zone.ts";
import type { Preferences } from "./preferences.ts";
import { nextSendingHour, startOf } from "./sending-hour.ts";

/** How often a digest comes. */
export type DigestPace = "weekly" | "monthly";

/** The week (Monday to Sunday, ISO 8601) or month that a digest is about; both days count. */
export interface DigestSpan {
  from: PlainDate;
  to: PlainDate;
}

export interface DigestPreferences extends Pick<Preferences, "sendingHour" | "quietDays" | "zone"> {
  digest: DigestPace | "none";
}

/** When a digest is written, and the first day of the span that it is about. */
export interface DigestMoment {
  at: Instant;
  from: PlainDate;
}

/** The week or month that the date lies in. */
export function digestSpan(pace: DigestPace, date: PlainDate): DigestSpan {
  const from = pace === "weekly" ? addDays(date, 1 - isoWeekday(date)) : `${date.slice(0, 7)}-01`;
  return { from, to: addDays(startOfNext(pace, from), -1) };
}

/** The week or month after it. */
export function spanAfter(pace: DigestPace, { to }: DigestSpan): DigestSpan {
  return digestSpan(pace, addDays(to, 1));
}

/**
 * The member's next digest strictly after the instant: at the sending hour of the first day of a
 * week or month that is not quiet, in the member's zone; null where none is wanted. `lastFrom` is
 * the first day of the span that the last digest was about: the next one's begins later, so that a
 * change of hour, zone or pace brings no second digest about the same days.
 */
export function nextDigest(
  after: Instant,
  preferences: DigestPreferences,
  lastFrom: PlainDate | null = null,
): DigestMoment | null {
  const { digest: pace, zone } = preferences;
  if (pace === "none") return null;
  for (let { from } = digestSpan(pace, dateAt(after, zone)); ; from = startOfNext(pace, from)) {
    const at = nextSendingHour(startOf(from, zone), preferences);
    if (at <= after || (lastFrom !== null && from <= lastFrom)) continue;
    // Where the clocks skip the only hour that is not quiet, the span goes without.
    if (at < startOf(startOfNext(pace, from), zone)) return { at, from };
  }
}

/**
 * What has become of a digest that was planned for `planned`, or put off by less than a day until
 * then, not after `now`: after an outage the newest one that is due counts; one whose preferences
 * have changed may lie after `now`.
 */
export function plannedDigest(
  planned: Instant,
  now: Instant,
  preferences: DigestPreferences,
  lastFrom: PlainDate | null,
): DigestMoment | null {
  let due = nextDigest(planned - MS_PER_DAY, preferences, lastFrom);
  for (let next = due; next !== null && next.at <= now; ) {
    due = next;
    next = nextDigest(next.at, preferences);
  }
  return due;
}

function startOfNext(pace: DigestPace, from: PlainDate): PlainDate {
  return pace === "weekly" ? addDays(from, 7) : addMonths(from, 1);
}
