import fc from "fast-check";
import { describe, expect, it, test } from "vitest";
import {
  addDays,
  dayNumber,
  isoWeekday,
  MS_PER_DAY,
} from "../../../src/domain/calendar/plain-date.ts";
import { atHour, dateAt } from "../../../src/domain/calendar/zone.ts";
import {
  type DigestPreferences,
  digestSpan,
  nextDigest,
  plannedDigest,
  spanAfter,
} from "../../../src/domain/reminder/digest.ts";
import { at } from "./example-task.ts";

const berlin: DigestPreferences = {
  digest: "weekly",
  sendingHour: 8,
  quietDays: [],
  zone: "Europe/Berlin",
};

function next(after: string, changes: Partial<DigestPreferences> = {}, lastFrom?: string) {
  const moment = nextDigest(at(after), { ...berlin, ...changes }, lastFrom);
  return moment && `${new Date(moment.at).toISOString()} of ${moment.from}`;
}

describe("a weekly digest", () => {
  it("comes on Monday at the sending hour, strictly after the instant", () => {
    expect(next("2026-05-04T05:59:59Z")).toBe("2026-05-04T06:00:00.000Z of 2026-05-04");
    expect(next("2026-05-04T06:00:00Z")).toBe("2026-05-11T06:00:00.000Z of 2026-05-11");
    expect(next("2026-05-09T12:00:00Z")).toBe("2026-05-11T06:00:00.000Z of 2026-05-11");
  });

  it("comes on the first day of the week that is not quiet", () => {
    expect(next("2026-05-04T07:00:00Z", { quietDays: [1, 2] })).toBe(
      "2026-05-06T06:00:00.000Z of 2026-05-04",
    );
    expect(next("2026-05-04T07:00:00Z", { quietDays: [1, 2, 3, 4, 5, 6] })).toBe(
      "2026-05-10T06:00:00.000Z of 2026-05-04",
    );
  });

  it("is about a week once, whatever hour, zone or pace is set after it came", () => {
    const sent = "2026-05-04T06:00:00Z";
    expect(next(sent, { sendingHour: 18 }, "2026-05-04")).toContain("of 2026-05-11");
    expect(next(sent, { zone: "Pacific/Honolulu" }, "2026-05-04")).toContain("of 2026-05-11");
    expect(next(sent, { digest: "monthly" }, "2026-05-04")).toContain("of 2026-06-01");
  });
});

describe("a monthly digest", () => {
  const monthly = { digest: "monthly" } as const;

  it("comes on the first day of the month that is not quiet", () => {
    expect(next("2026-05-04T06:00:00Z", monthly)).toBe("2026-06-01T06:00:00.000Z of 2026-06-01");
    // 1 August 2026 is a Saturday.
    expect(next("2026-07-15T06:00:00Z", { ...monthly, quietDays: [6, 7] })).toBe(
      "2026-08-03T06:00:00.000Z of 2026-08-01",
    );
  });

  it("is told once of a month, also where a week of it was told before", () => {
    expect(next("2026-04-30T06:00:00Z", monthly, "2026-04-27")).toContain("of 2026-05-01");
    expect(next("2026-05-05T06:00:00Z", monthly, "2026-05-04")).toContain("of 2026-06-01");
    expect(next("2026-05-05T06:00:00Z", {}, "2026-05-01")).toContain("of 2026-05-11");
  });
});

it("does not come to a member who wants none", () => {
  expect(next("2026-05-04T06:00:00Z", { digest: "none" })).toBeNull();
});

// Pacific/Apia had no 30 December 2011 (IANA time zone database); it would have been a Friday.
it("leaves a week out whose only day that is not quiet does not exist in the zone", () => {
  const quietDays = [1, 2, 3, 4, 6, 7];
  expect(next("2011-12-26T20:00:00Z", { zone: "Pacific/Apia", quietDays })).toBe(
    "2012-01-05T18:00:00.000Z of 2012-01-02",
  );
});

describe("a digest that was planned", () => {
  const became = (planned: string, now: string, changes: Partial<DigestPreferences> = {}) =>
    plannedDigest(at(planned), at(now), { ...berlin, ...changes }, null);

  it("is due at its moment", () => {
    expect(became("2026-05-04T06:00:00Z", "2026-05-04T06:00:01Z")).toEqual({
      at: at("2026-05-04T06:00:00Z"),
      from: "2026-05-04",
    });
  });

  it("is the newest one after an outage", () => {
    expect(became("2026-05-04T06:00:00Z", "2026-05-27T09:00:00Z")).toEqual({
      at: at("2026-05-25T06:00:00Z"),
      from: "2026-05-25",
    });
  });

  it("waits where the hour was changed before it was written, and is gone where none is wanted", () => {
    const [planned, now] = ["2026-05-04T06:00:00Z", "2026-05-04T06:00:01Z"] as const;
    expect(became(planned, now, { sendingHour: 18 })?.at).toBe(at("2026-05-04T16:00:00Z"));
    expect(became(planned, now, { digest: "none" })).toBeNull();
  });
});

test("the span of a digest, and the one after it", () => {
  expect(digestSpan("weekly", "2026-05-10")).toEqual({ from: "2026-05-04", to: "2026-05-10" });
  expect(digestSpan("monthly", "2028-02-29")).toEqual({ from: "2028-02-01", to: "2028-02-29" });
  expect(spanAfter("weekly", digestSpan("weekly", "2026-12-31"))).toEqual({
    from: "2027-01-04",
    to: "2027-01-10",
  });
  expect(spanAfter("monthly", digestSpan("monthly", "2026-12-31"))).toEqual({
    from: "2027-01-01",
    to: "2027-01-31",
  });
});

/** Zones with a change of an hour, of half an hour, at odd minutes, at midnight, and without one. */
const zones = [
  ...["Europe/Berlin", "America/New_York", "Australia/Lord_Howe", "Pacific/Chatham"],
  ...["America/Santiago", "Asia/Kathmandu", "Pacific/Kiritimati"],
];
const choices = fc.record({
  digest: fc.constantFrom("weekly" as const, "monthly" as const),
  sendingHour: fc.integer({ min: 0, max: 23 }),
  quietDays: fc.uniqueArray(fc.integer({ min: 1, max: 7 }), { maxLength: 6 }),
  zone: fc.constantFrom(...zones),
});
const instants = fc.integer({ min: at("2025-06-01T00:00:00Z"), max: at("2027-12-31T00:00:00Z") });

it("comes once a span, on its first day that is not quiet, at the hour of the member's clocks", () => {
  fc.assert(
    fc.property(instants, choices, (after, preferences) => {
      const moment = nextDigest(after, preferences);
      if (!moment) throw new Error("A digest is wanted.");
      const { digest: pace, zone, quietDays, sendingHour } = preferences;
      const date = dateAt(moment.at, zone);
      expect(moment.at).toBeGreaterThan(after);
      expect(moment.at).toBe(atHour(date, sendingHour, zone));
      expect(digestSpan(pace, date).from).toBe(moment.from);
      const before = Array.from({ length: dayNumber(date) - dayNumber(moment.from) }, (_, days) =>
        isoWeekday(addDays(moment.from, days)),
      );
      expect(quietDays).toEqual(expect.arrayContaining(before));
      expect(quietDays).not.toContain(isoWeekday(date));
      expect(nextDigest(moment.at - 1, preferences)).toEqual(moment);
      expect(nextDigest(moment.at, preferences, moment.from)).toEqual(
        nextDigest(moment.at, preferences),
      );
    }),
  );
});

it("is told of every week and month in turn", () => {
  fc.assert(
    fc.property(instants, choices, (after, preferences) => {
      const first = nextDigest(after, preferences);
      const second = first && nextDigest(first.at, preferences, first.from);
      if (!first || !second) throw new Error("A digest is wanted.");
      const span = digestSpan(preferences.digest, first.from);
      expect(second.from).toBe(addDays(span.to, 1));
      const far = second.at + 200 * MS_PER_DAY;
      const newest = plannedDigest(first.at, far, preferences, null);
      expect(newest?.at).toBeLessThanOrEqual(far);
      expect(newest && nextDigest(newest.at, preferences)?.at).toBeGreaterThan(far);
    }),
  );
});
