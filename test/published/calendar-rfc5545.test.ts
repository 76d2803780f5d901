import ICAL from "ical.js";
import { describe, expect, test } from "vitest";
import { reminderCalendar } from "../../src/render/calendar.ts";
import {
  contentLines,
  dateValue,
  instantValue,
  textValue,
} from "../../src/render/calendar-lines.ts";
import { machine150, oneJob, valveClearance } from "../render/samples.ts";

const text = reminderCalendar(
  {
    ...oneJob,
    machines: [
      {
        ...machine150,
        name: "Größe ß 寸法 🛵 ".repeat(12),
        items: [{ ...valveClearance, title: "Überprüfung der Ventile ".repeat(8) }],
      },
    ],
  },
  "example.org",
  Date.UTC(1997, 5, 10, 17, 23, 45),
);
const lines = (text ?? "").split("\r\n");

describe("RFC 5545 (Internet Calendaring), by what we write and by its own examples", () => {
  test("section 3.1: lines end with CRLF, and none is over 75 octets without it", () => {
    expect(text?.endsWith("END:VCALENDAR\r\n")).toBe(true);
    expect(text?.replaceAll("\r\n", "")).not.toMatch(/[\r\n]/);
    for (const line of lines) expect(Buffer.byteLength(line), line).toBeLessThanOrEqual(75);
  });

  test("section 3.1: no fold lies inside a UTF-8 character, so that unfolding gives the text back", () => {
    const [event] = new ICAL.Component(ICAL.parse(text ?? "")).getAllSubcomponents("vevent");
    const summary = event?.getFirstPropertyValue("summary");
    expect(summary).toBe(
      `${"Überprüfung der Ventile ".repeat(8)}, ${"Größe ß 寸法 🛵 ".repeat(12)}`,
    );
  });

  test("section 3.1: its folded DESCRIPTION unfolds to one line", () => {
    const folded =
      "BEGIN:VEVENT\r\nDESCRIPTION:This is a lo\r\n ng description\r\n  that exists on a long line.\r\nEND:VEVENT";
    const component = new ICAL.Component(ICAL.parse(folded));
    expect(component.getFirstPropertyValue("description")).toBe(
      "This is a long description that exists on a long line.",
    );
  });

  test("section 3.4: DTSTAMP has the form of its example, 19970610T172345Z", () => {
    expect(lines).toContain("DTSTAMP:19970610T172345Z");
  });

  test("section 3.6: a calendar has VERSION 2.0 and a PRODID; section 3.6.1: an event has a UID", () => {
    expect(lines).toContain("VERSION:2.0");
    expect(lines.some((line) => line.startsWith("PRODID:"))).toBe(true);
    expect(lines.some((line) => line.startsWith("UID:"))).toBe(true);
  });
});

describe("RFC 5545, by the writer of calendars to subscribe to", () => {
  test("section 3.1: lines of more than 75 octets are folded between characters, and unfold again", () => {
    const line = `SUMMARY:${"Größe 寸法 🛵 ".repeat(30)}`;
    const folded = contentLines([line]);
    for (const one of folded.split("\r\n")) expect(Buffer.byteLength(one)).toBeLessThanOrEqual(75);
    expect(folded).not.toContain("\ufffd");
    expect(folded.replaceAll("\r\n ", "")).toBe(`${line}\r\n`);
    expect(contentLines([`A:${"x".repeat(73)}`])).toBe(`A:${"x".repeat(73)}\r\n`);
    expect(contentLines([`A:${"x".repeat(74)}`])).toBe(`A:${"x".repeat(73)}\r\n x\r\n`);
  });

  test("section 3.3.11: its example of a TEXT, with its commas and line breaks", () => {
    const text = "Project XYZ Final Review\nConference Room - 3B\nCome Prepared.";
    expect(textValue(text)).toBe(
      "Project XYZ Final Review\\nConference Room - 3B\\nCome Prepared.",
    );
    expect(textValue("a\\b;c,d:e")).toBe("a\\\\b\\;c\\,d:e");
  });

  test("section 3.3.4: a DATE is 19970714; section 3.3.5: a DATE-TIME in UTC is 19980119T070000Z", () => {
    expect(dateValue("1997-07-14")).toBe("19970714");
    expect(instantValue(Date.UTC(1998, 0, 19, 7))).toBe("19980119T070000Z");
  });
});
