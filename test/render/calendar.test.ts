import ICAL from "ical.js";
import { describe, expect, test } from "vitest";
import { reminderCalendar } from "../../src/render/calendar.ts";
import { HOSTILE, hostileCopy } from "./hostile.ts";
import { askOnly, machine150, manyJobs, oneJob, valveClearance } from "./samples.ts";

const STAMP = Date.UTC(2026, 3, 12, 7, 30);

/** What an independent parser reads in a calendar. */
function eventsOf(text: string | null) {
  const calendar = new ICAL.Component(ICAL.parse(text ?? ""));
  return calendar.getAllSubcomponents("vevent").map((component) => new ICAL.Event(component));
}

describe("the calendar entry of a task", () => {
  const text = reminderCalendar(oneJob, "mail.example.org", STAMP) ?? "";
  const [event] = eventsOf(text);

  test("is all day, on the most likely day, for one day", () => {
    expect(event?.startDate.isDate).toBe(true);
    expect(event?.startDate.toString()).toBe("2026-05-20");
    expect(event?.duration.toSeconds()).toBe(86_400);
  });

  test("tells the range, that it is no appointment, and the cautions", () => {
    expect(event?.summary).toBe("Valve clearance, Single 150");
    expect(event?.description).toContain("Between 12 and 30 May, most likely 20 May.");
    expect(event?.description).toContain("not an appointment");
    expect(event?.description).toContain("Cold engine only.");
  });

  test("keeps its UID for the occurrence, and its SEQUENCE goes up with the revision", () => {
    const item = {
      ...valveClearance,
      revision: 3,
      likely: { from: "2026-06-01", to: "2026-06-30", most: "2026-06-10" },
    };
    const later = eventsOf(
      reminderCalendar(
        { ...oneJob, machines: [{ ...machine150, items: [item] }] },
        "mail.example.org",
        STAMP,
      ),
    );
    expect(later[0]?.uid).toBe(event?.uid);
    expect([event?.sequence, later[0]?.sequence]).toEqual([0, 3]);
    const next = { ...valveClearance, occurrence: "mark:6000" };
    const other = eventsOf(
      reminderCalendar(
        { ...oneJob, machines: [{ ...machine150, items: [next] }] },
        "mail.example.org",
        STAMP,
      ),
    );
    expect(other[0]?.uid).not.toBe(event?.uid);
  });

  test("takes its DTSTAMP from the clock that was handed in", () => {
    expect(event?.component.getFirstPropertyValue("dtstamp")?.toString()).toBe(
      "2026-04-12T07:30:00Z",
    );
  });

  test("one that is due stands on today; without a likely day there is none", () => {
    expect(
      eventsOf(reminderCalendar(manyJobs, "mail.example.org", STAMP)).map((one) =>
        one.startDate.toString(),
      ),
    ).toEqual(["2026-04-12", "2026-04-12", "2026-05-20"]);
    expect(reminderCalendar(askOnly, "mail.example.org", STAMP)).toBeNull();
    const { likely: _, ...unknown } = valveClearance;
    const view = { ...oneJob, machines: [{ ...machine150, items: [unknown] }] };
    expect(reminderCalendar(view, "mail.example.org", STAMP)).toBeNull();
  });

  test("hostile texts stay texts", () => {
    const events = eventsOf(reminderCalendar(hostileCopy(oneJob), HOSTILE, STAMP));
    expect(events).toHaveLength(1);
    expect(events[0]?.summary).toContain("<script>alert(1)</script>");
    expect(events[0]?.uid).toMatch(/^[A-Za-z0-9.-]+@[A-Za-z0-9.-]+$/);
    expect(events[0]?.component.getAllProperties().map(({ name }) => name)).not.toContain("bcc");
  });
});
