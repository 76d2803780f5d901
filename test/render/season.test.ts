import { fc, test as property } from "@fast-check/vitest";
import { describe, expect, test } from "vitest";
import { addDays, daysBetween } from "../../src/domain/calendar/plain-date.ts";
import { seasonAt, seasonsOf } from "../../src/render/season.ts";

describe("the seasons", () => {
  test("are named where clocks change with them, and follow the hemisphere", () => {
    expect(seasonsOf("Europe/Dublin")).toBe("north");
    expect(seasonsOf("America/New_York")).toBe("north");
    expect(seasonsOf("Australia/Sydney")).toBe("south");
    expect(seasonsOf("Pacific/Auckland")).toBe("south");
    expect(seasonsOf("Asia/Singapore")).toBeNull();
    expect(seasonsOf("Africa/Nairobi")).toBeNull();
  });

  test("are three whole months; winter in the north, summer in the south spans two years", () => {
    expect(seasonAt("2026-10-03", "north")).toEqual({
      name: "autumn",
      from: "2026-09-01",
      to: "2026-11-30",
    });
    expect(seasonAt("2028-01-15", "north")).toEqual({
      name: "winter",
      from: "2027-12-01",
      to: "2028-02-29",
    });
    expect(seasonAt("2026-12-31", "south")).toEqual({
      name: "summer",
      from: "2026-12-01",
      to: "2027-02-28",
    });
    expect(seasonAt("2026-06-01", "south").name).toBe("winter");
  });

  property.prop([fc.integer({ min: 0, max: 20_000 }), fc.constantFrom("north", "south" as const)])(
    "every day lies in its season, and the next season begins the day after it ends",
    (days, hemisphere) => {
      const date = addDays("2000-01-01", days);
      const { name, from, to } = seasonAt(date, hemisphere as "north" | "south");
      expect(from <= date && date <= to).toBe(true);
      expect(daysBetween(from, to)).toBeGreaterThanOrEqual(89);
      const next = seasonAt(addDays(to, 1), hemisphere as "north" | "south");
      expect(next.from).toBe(addDays(to, 1));
      expect(next.name).not.toBe(name);
    },
  );
});
