import { Temporal } from "temporal-polyfill";
import type { Instant, PlainDate } from "./plain-date.ts";

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
  return zoned(instant, zone).toPlainDate().toString();
}

/** The first instant of the date in the zone, which is not midnight where midnight is skipped. */
export function startOfDay(date: PlainDate, zone: string): Instant {
  return Temporal.PlainDate.from(date).toZonedDateTime(zone).epochMilliseconds;
}

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

function zoned(instant: Instant, zone: string): Temporal.ZonedDateTime {
  return Temporal.Instant.fromEpochMilliseconds(Math.floor(instant)).toZonedDateTimeISO(zone);
}
