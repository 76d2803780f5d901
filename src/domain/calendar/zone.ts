import { Temporal } from "temporal-polyfill";
import { dateOfDay, type Instant, MS_PER_DAY, type PlainDate } from "./plain-date.ts";

/** Whether the text names an IANA time zone that this runtime knows; offsets are not names. */
export function isTimeZone(zone: string): boolean {
  if (!/^[A-Za-z]/.test(zone)) return false;
  try {
    Temporal.Instant.fromEpochMilliseconds(0).toZonedDateTimeISO(zone);
    return true;
  } catch {
    return false;
  }
}

/** The calendar date in the zone at the instant. */
export function dateAt(instant: Instant, zone: string): PlainDate {
  // The zone's date is at most a day off the date in UTC; starts of days are remembered.
  const inUtc = Math.floor(instant / MS_PER_DAY);
  const later = [inUtc + 1, inUtc].find((day) => startOfDay(dateOfDay(day), zone) <= instant);
  return dateOfDay(later ?? inUtc - 1);
}

/** The first instant of the date in the zone, which is not midnight where midnight is skipped. */
export function startOfDay(date: PlainDate, zone: string): Instant {
  let days = starts.get(zone);
  if (days === undefined || days.size >= REMEMBERED) {
    days = new Map();
    starts.set(zone, days);
  }
  let start = days.get(date);
  if (start === undefined) {
    start = Temporal.PlainDate.from(date).toZonedDateTime(zone).epochMilliseconds;
    days.set(date, start);
  }
  return start;
}

/** Zone arithmetic takes 10 to 30 us, and the members of one zone ask for the same days. */
const REMEMBERED = 20_000;
const starts = new Map<string, Map<PlainDate, Instant>>();

/**
 * The instant at which the zone's clocks show `hour`:00 on the date. A time that the clocks skip
 * is taken as much later as they jump; one that they show twice is taken the first time.
 */
export function atHour(date: PlainDate, hour: number, zone: string): Instant {
  return Temporal.PlainDate.from(date)
    .toPlainDateTime({ hour })
    .toZonedDateTime(zone, { disambiguation: "compatible" }).epochMilliseconds;
}

/** The instant at which the zone's clocks show noon on the date: where a date without a time is put. */
export function noonOf(date: PlainDate, zone: string): Instant {
  return atHour(date, 12, zone);
}
