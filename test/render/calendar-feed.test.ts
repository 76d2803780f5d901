import ICAL from "ical.js";
import { describe, expect, test } from "vitest";
import type { CalendarEntryView, CalendarView } from "../../src/application/calendar-view.ts";
import { CATALOGUES } from "../../src/content/messages/catalogue.ts";
import { calendarParts } from "../../src/render/calendar-feed.ts";
import { HOSTILE, hostileCopy } from "./hostile.ts";

/** Invented machines and tasks of an invented co-operative. */
const oilChange: CalendarEntryView = {
  taskId: "01971f3e-0000-7000-8000-000000000001",
  title: "Oil change",
  machine: "Single 150",
  meterUnit: "km",
  on: "2026-05-20",
  sequence: 4,
  changedAt: Date.UTC(2026, 3, 12, 7, 30),
  stage: "ahead",
  forecast: {
    told: "2026-04-12",
    likely: { from: "2026-05-12", most: "2026-05-20", to: "2026-05-30" },
  },
  due: { distance: 6000 },
  whichever: "first",
  cautions: ["Hot oil burns."],
};

const { forecast: _certain, ...sure } = oilChange;
const inspection: CalendarEntryView = {
  ...sure,
  taskId: "01971f3e-0000-7000-8000-000000000002",
  title: "Inspection",
  due: { date: "2026-05-20" },
};

const calendar = (
  entries: CalendarEntryView[],
  fields: Partial<CalendarView> = {},
): CalendarView => ({
  name: "Harbour",
  locale: "en",
  zone: "Europe/Berlin",
  entries,
  ...fields,
});
const shown = (view: CalendarView, domain = "mail.example.org") =>
  [...calendarParts(view, domain)].join("");
const parsed = (text: string) => new ICAL.Component(ICAL.parse(text));

function eventOf(entry: CalendarEntryView, fields: Partial<CalendarView> = {}) {
  const [event] = parsed(shown(calendar([entry], fields))).getAllSubcomponents("vevent");
  if (!event) throw new Error("no event");
  return (name: string) => String(event.getFirstPropertyValue(name));
}

describe("a calendar to subscribe to", () => {
  test("names itself, says how often to look again, and has no lines of one maker's programs", () => {
    const text = shown(calendar([oilChange]));
    const component = parsed(text);
    expect(component.getFirstPropertyValue("prodid")).toBe("-//Forewheel//Calendar feed//EN");
    expect(component.getFirstPropertyValue("name")).toBe("Harbour");
    expect(component.getFirstPropertyValue("refresh-interval")?.toString()).toBe("PT1H");
    expect(component.getFirstPropertyValue("method")).toBeNull();
    expect(text).not.toMatch(/^X-/m);
  });

  test("without a task it is an empty calendar", () => {
    expect(parsed(shown(calendar([]))).getAllSubcomponents()).toEqual([]);
  });

  test("an entry is its task's, all day on the most likely day, and holds no time", () => {
    const value = eventOf(oilChange);
    expect(value("uid")).toBe("task-01971f3e-0000-7000-8000-000000000001@mail.example.org");
    expect(value("sequence")).toBe("4");
    expect(value("dtstart")).toBe("2026-05-20");
    expect(value("dtstamp")).toBe("2026-04-12T07:30:00Z");
    expect(value("last-modified")).toBe("2026-04-12T07:30:00Z");
    expect(value("transp")).toBe("TRANSPARENT");
    expect(value("categories")).toBe("Single 150");
    expect(value("summary")).toBe("Oil change · Single 150");
  });

  test("it tells the range as it stood when it was told, the limit, that it is a forecast, the cautions", () => {
    const value = eventOf(oilChange);
    expect(value("status")).toBe("TENTATIVE");
    const lines = value("description").split("\n");
    expect(lines.slice(0, 3)).toEqual([
      "Between 12 and 30 May, most likely 20 May.",
      "Comes due by distance: 6,000 km on the meter.",
      "Forecast of 12 April 2026. The day moves with what the meter shows; it is not an appointment.",
    ]);
    expect(lines[3]).toMatch(/^Before you start: Hot oil burns\. Your machine’s handbook/);
  });

  test("what the calendar alone tells is sure, and no forecast", () => {
    const value = eventOf(inspection);
    expect(value("status")).toBe("CONFIRMED");
    expect(value("description")).toMatch(/^On 20 May 2026\.\nComes due by date\.\nBefore/);
  });

  test("several limits are all told, with which of them decides", () => {
    const due = { distance: 6000, hours: 99.95, date: "2026-12-01" };
    expect(eventOf({ ...oilChange, due, stage: "due" })("description")).toContain(
      "Due by distance or engine hours or date: 6,000 km on the meter or 100 h on the hour meter or 1 December 2026 by the calendar, whichever comes first.",
    );
    const last = {
      ...oilChange,
      whichever: "last" as const,
      due: { hours: 50, date: "2026-12-01" },
    };
    expect(eventOf(last)("description")).toContain("by the calendar, whichever comes last.");
    expect(eventOf({ ...oilChange, due: {} })("description")).not.toContain("Comes due");
  });

  test("an overdue task says so where it is read first", () => {
    const value = eventOf({ ...inspection, stage: "overdue" });
    expect(value("summary")).toBe("Inspection · Single 150 (overdue)");
    expect(value("description")).toContain("Past the permitted window, due by date.");
  });

  test("long cautions are cut, with a sign that they are", () => {
    const text = eventOf({ ...oilChange, cautions: ["Careful. ".repeat(300)] })("description");
    expect(text.length).toBeLessThan(900);
    expect(text).toContain("…");
  });

  test.each([...CATALOGUES.keys()])(
    "in %s it holds the same facts in that language's words",
    (locale) => {
      const value = eventOf({ ...oilChange, stage: "overdue" }, { locale });
      expect(value("uid")).toBe(eventOf(oilChange)("uid"));
      expect(value("dtstart")).toBe("2026-05-20");
      expect(value("summary")).toMatch(/^Oil change · Single 150 \(.+\)$/);
      expect(value("description")).toMatch(/12.*30.*20/);
      expect(value("description")).toMatch(/6\D?000/);
      const english = eventOf({ ...oilChange, stage: "overdue" })("description").split("\n");
      const lines = value("description").split("\n");
      expect(lines).toHaveLength(english.length);
      if (locale !== "en") expect(lines.filter((line) => english.includes(line))).toEqual([]);
    },
  );

  test("the same view makes the same bytes", () => {
    const view = calendar([oilChange, inspection]);
    expect(shown(view)).toBe(shown(structuredClone(view)));
  });

  test("hostile texts stay texts", () => {
    const view = { ...hostileCopy(calendar([oilChange, inspection])), name: HOSTILE };
    const text = shown(view, HOSTILE);
    const component = parsed(text);
    expect(component.getAllSubcomponents().map(({ name }) => name)).toEqual(["vevent", "vevent"]);
    const names = component
      .getAllSubcomponents()
      .map((event) => event.getAllProperties().map(({ name }) => name));
    for (const one of names) expect(one).toEqual(names[0]);
    expect(names[0]).not.toContain("bcc");
    expect(text).not.toMatch(/[^\P{Cc}\r\n]/u);
    expect(text.replaceAll("\r\n", "")).not.toMatch(/[\r\n\u2028\u2029]/);
    const [event] = component.getAllSubcomponents();
    expect(event?.getFirstPropertyValue("summary")).toContain("<script>alert(1)</script>");
  });
});
