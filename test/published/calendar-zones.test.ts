import { describe, expect, test } from "vitest";
import { MS_PER_DAY } from "../../src/domain/calendar/plain-date.ts";
import { atHour, dateAt, noonOf, startOfDay } from "../../src/domain/calendar/zone.ts";

const iso = (instant: number) => new Date(instant).toISOString();
const dayLength = (date: string, next: string, zone: string) =>
  (startOfDay(next, zone) - startOfDay(date, zone)) / 3_600_000;

// Source of every figure here: IANA time zone database, release 2026c, compiled with zic. Zones
// whose rules changed in 2026 (British Columbia, Alberta, Morocco) are left out: runtimes differ.
describe("clock changes: IANA time zone database 2026c", () => {
  test.each([
    ["Europe/Berlin", "2026-03-29", 2, "2026-03-29T01:00:00.000Z"],
    ["Europe/Berlin", "2027-03-28", 2, "2027-03-28T01:00:00.000Z"],
    ["Europe/London", "2026-03-29", 1, "2026-03-29T01:00:00.000Z"],
    ["America/New_York", "2026-03-08", 2, "2026-03-08T07:00:00.000Z"],
    ["America/New_York", "2027-03-14", 2, "2027-03-14T07:00:00.000Z"],
    ["Australia/Lord_Howe", "2026-10-04", 2, "2026-10-03T15:30:00.000Z"],
    ["Pacific/Chatham", "2026-09-27", 4, "2026-09-26T14:15:00.000Z"],
  ])("in %s on %s, %i:00 is taken after the gap", (zone, date, hour, expected) => {
    expect(iso(atHour(date, hour, zone))).toBe(expected);
  });

  test.each([
    ["Europe/Berlin", "2026-10-25", 2, "2026-10-25T00:00:00.000Z"],
    ["Europe/London", "2026-10-25", 1, "2026-10-25T00:00:00.000Z"],
    ["America/New_York", "2026-11-01", 1, "2026-11-01T05:00:00.000Z"],
    ["Pacific/Chatham", "2026-04-05", 3, "2026-04-04T13:15:00.000Z"],
  ])("in %s on %s, %i:00 comes twice and is taken the first time", (zone, date, hour, expected) => {
    expect(iso(atHour(date, hour, zone))).toBe(expected);
  });

  test.each([
    ["Europe/Berlin", "2026-10-25", "2026-10-26", 25],
    ["Europe/Berlin", "2027-03-28", "2027-03-29", 23],
    ["Australia/Lord_Howe", "2026-10-04", "2026-10-05", 23.5],
    ["America/Santiago", "2026-09-06", "2026-09-07", 23],
    ["Asia/Beirut", "2026-03-29", "2026-03-30", 23],
  ])("in %s the day %s to %s has %d hours", (zone, date, next, hours) => {
    expect(dayLength(date, next, zone)).toBe(hours);
  });

  test.each([
    ["America/Santiago", "2026-09-06", "2026-09-06T04:00:00.000Z"],
    ["America/Santiago", "2027-09-05", "2027-09-05T04:00:00.000Z"],
    ["Asia/Beirut", "2026-03-29", "2026-03-28T22:00:00.000Z"],
  ])("in %s the day %s has no midnight and begins when the clocks jump", (zone, date, expected) => {
    expect(iso(startOfDay(date, zone))).toBe(expected);
    expect(dateAt(startOfDay(date, zone), zone)).toBe(date);
    expect(dateAt(startOfDay(date, zone) - 1, zone) < date).toBe(true);
  });

  test("Pacific/Apia had no 30 December 2011", () => {
    expect(dateAt(Date.parse("2011-12-30T09:59:59Z"), "Pacific/Apia")).toBe("2011-12-29");
    expect(dateAt(Date.parse("2011-12-30T10:00:00Z"), "Pacific/Apia")).toBe("2011-12-31");
    expect(iso(startOfDay("2011-12-30", "Pacific/Apia"))).toBe("2011-12-30T10:00:00.000Z");
  });

  test.each([
    ["Asia/Kolkata", 5.5],
    ["Asia/Kathmandu", 5.75],
    ["Asia/Yangon", 6.5],
    ["Australia/Eucla", 8.75],
    ["Pacific/Marquesas", -9.5],
    ["Pacific/Kiritimati", 14],
  ])("in %s clocks stand %d hours from UTC all year", (zone, hours) => {
    for (const date of ["2026-01-15", "2026-07-15"]) {
      const utcNoon = Date.parse(`${date}T12:00:00Z`);
      expect((utcNoon - noonOf(date, zone)) / (MS_PER_DAY / 24)).toBe(hours);
    }
  });
});
