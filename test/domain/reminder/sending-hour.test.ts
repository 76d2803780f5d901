import fc from "fast-check";
import { describe, expect, it } from "vitest";
import { isoWeekday } from "../../../src/domain/calendar/plain-date.ts";
import { atHour, dateAt } from "../../../src/domain/calendar/zone.ts";
import { nextSendingHour } from "../../../src/domain/reminder/sending-hour.ts";
import { at } from "./example-task.ts";

const next = (from: string, sendingHour: number, zone: string, quietDays: number[] = []) =>
  new Date(nextSendingHour(at(from), { sendingHour, zone, quietDays })).toISOString();

describe("the next sending hour", () => {
  it("is today's when it is still to come or just there, else tomorrow's", () => {
    expect(next("2026-05-01T05:59:59Z", 8, "Europe/Berlin")).toBe("2026-05-01T06:00:00.000Z");
    expect(next("2026-05-01T06:00:00Z", 8, "Europe/Berlin")).toBe("2026-05-01T06:00:00.000Z");
    expect(next("2026-05-01T06:00:00.001Z", 8, "Europe/Berlin")).toBe("2026-05-02T06:00:00.000Z");
  });

  it("falls on the member's own date, far east and far west", () => {
    expect(next("2026-05-01T12:00:00Z", 8, "Pacific/Kiritimati")).toBe("2026-05-01T18:00:00.000Z");
    expect(next("2026-05-01T12:00:00Z", 8, "Pacific/Marquesas")).toBe("2026-05-01T17:30:00.000Z");
  });

  it("passes over quiet days, and none where all seven are quiet", () => {
    expect(next("2026-05-01T12:00:00Z", 8, "Europe/Berlin", [6, 7])).toBe(
      "2026-05-04T06:00:00.000Z",
    );
    expect(next("2026-05-01T12:00:00Z", 8, "Europe/Berlin", [1, 2, 3, 4, 5, 6, 7])).toBe(
      "2026-05-02T06:00:00.000Z",
    );
  });

  it("lies on 29 February in a leap year", () => {
    expect(next("2028-02-28T12:00:00Z", 8, "Europe/Berlin")).toBe("2028-02-29T07:00:00.000Z");
    expect(next("2028-02-28T12:00:00Z", 8, "Europe/Berlin", [2])).toBe("2028-03-01T07:00:00.000Z");
  });
});

// Transitions: IANA time zone database, release 2026c.
describe("an hour that the clocks skip comes as much later as they jump", () => {
  it.each([
    ["Europe/Berlin", "2026-03-28T12:00:00Z", 2, "2026-03-29T01:00:00.000Z"],
    ["America/New_York", "2026-03-08T00:00:00Z", 2, "2026-03-08T07:00:00.000Z"],
    ["Australia/Lord_Howe", "2026-10-03T00:00:00Z", 2, "2026-10-03T15:30:00.000Z"],
    ["Pacific/Chatham", "2026-09-26T00:00:00Z", 3, "2026-09-26T14:15:00.000Z"],
    ["America/Santiago", "2026-09-05T12:00:00Z", 0, "2026-09-06T04:00:00.000Z"],
  ])("%s", (zone, from, hour, expected) => {
    expect(next(from, hour, zone)).toBe(expected);
  });
});

describe("an hour that the clocks show twice counts the first time", () => {
  it.each([
    ["Europe/Berlin", "2026-10-24T12:00:00Z", 2, "2026-10-25T00:00:00.000Z", 25],
    ["America/New_York", "2026-10-31T12:00:00Z", 1, "2026-11-01T05:00:00.000Z", 25],
    ["Australia/Lord_Howe", "2026-04-04T00:00:00Z", 1, "2026-04-04T14:00:00.000Z", 24.5],
    ["Pacific/Chatham", "2026-04-04T00:00:00Z", 3, "2026-04-04T13:15:00.000Z", 25],
    ["America/Santiago", "2026-04-04T12:00:00Z", 23, "2026-04-05T02:00:00.000Z", 25],
  ])("%s", (zone, from, hour, expected, hoursToNext) => {
    expect(next(from, hour, zone)).toBe(expected);
    const after = new Date(at(expected) + 1).toISOString();
    const following = new Date(at(expected) + hoursToNext * 3_600_000).toISOString();
    expect(next(after, hour, zone)).toBe(following);
  });
});

it("passes over a date that a zone skipped, rather than send on the next one's quiet day", () => {
  // Pacific/Apia had no 30 December 2011 (IANA time zone database); 31 December was a Saturday.
  expect(next("2011-12-29T20:00:00Z", 8, "Pacific/Apia", [6])).toBe("2011-12-31T18:00:00.000Z");
});

const zones = [
  "Europe/Berlin",
  "America/New_York",
  "Australia/Lord_Howe",
  "Pacific/Chatham",
  "America/Santiago",
];
const moments = fc.integer({ min: at("2025-06-01T00:00:00Z"), max: at("2027-12-31T00:00:00Z") });
const choices = fc.record({
  sendingHour: fc.integer({ min: 0, max: 23 }),
  quietDays: fc.uniqueArray(fc.integer({ min: 1, max: 7 }), { maxLength: 6 }),
  zone: fc.constantFrom(...zones),
});

it("is never early, never on a quiet day, and shows the hour unless the clocks skip it", () => {
  fc.assert(
    fc.property(moments, choices, (moment, prefs) => {
      const sent = nextSendingHour(moment, prefs);
      const date = dateAt(sent, prefs.zone);
      expect(sent).toBeGreaterThanOrEqual(moment);
      expect(prefs.quietDays).not.toContain(isoWeekday(date));
      expect(sent).toBe(atHour(date, prefs.sendingHour, prefs.zone));
      expect(nextSendingHour(sent, prefs)).toBe(sent);
      expect(dateAt(nextSendingHour(sent + 1, prefs), prefs.zone) > date).toBe(true);
    }),
  );
});
