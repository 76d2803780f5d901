import { fc, test as property } from "@fast-check/vitest";
import { describe, expect, test } from "vitest";
import type { LikelyDates } from "../../src/application/views.ts";
import { addDays } from "../../src/domain/calendar/plain-date.ts";
import {
  type DueQuestion,
  dateInShort,
  dateSentence,
  likelyInDrawing,
  likelyInShort,
  likelySentence,
} from "../../src/render/date-sentence.ts";
import { wordingFor } from "../../src/render/wording.ts";

const words = wordingFor("en");
const TODAY = "2026-04-12";
const told = (from: string | null, to: string | null, most: string | null, today = TODAY) =>
  likelySentence(words, { from, to, most }, today);

describe("a range of dates in plain words", () => {
  test("within one month, and across two", () => {
    expect(told("2026-05-12", "2026-05-30", "2026-05-20")).toBe(
      "Between 12 and 30 May, most likely 20 May.",
    );
    expect(told("2026-05-12", "2026-06-03", "2026-05-20")).toBe(
      "Between 12 May and 3 June, most likely 20 May.",
    );
  });

  test("names the year where it is not this one", () => {
    expect(told("2027-01-05", "2027-02-10", "2027-01-20")).toBe(
      "Between 5 January and 10 February 2027, most likely 20 January.",
    );
    expect(told("2026-12-20", "2027-01-15", "2027-01-02", "2026-12-01")).toBe(
      "Between 20 December 2026 and 15 January 2027, most likely 2 January.",
    );
  });

  test("a wide range is told in months, a wider one in years, for days would promise too much", () => {
    expect(told("2026-09-03", "2027-02-10", "2026-11-20")).toBe(
      "Between September 2026 and February 2027, most likely November 2026.",
    );
    expect(told("2027-09-03", "2031-02-10", "2028-11-20")).toBe(
      "Between 2027 and 2031, most likely 2028.",
    );
  });

  test("a date that is certain is told as one", () => {
    expect(told("2026-05-01", "2026-05-01", "2026-05-01")).toBe("On 1 May.");
  });

  test("where it may be reached already, that is said", () => {
    expect(told("2026-04-01", "2026-04-30", "2026-04-20")).toBe(
      "Any day now, very likely by 30 April; most likely 20 April.",
    );
    expect(told("2026-04-01", "2026-04-30", "2026-04-10")).toBe(
      "Most likely reached already, very likely by 30 April.",
    );
    expect(told("2026-03-01", "2026-04-10", "2026-04-01")).toBe("Most likely reached already.");
  });

  test("an end that cannot be told is not made up", () => {
    expect(told("2026-10-03", null, "2028-03-05")).toBe(
      "Hardly before October 2026; most likely around March 2028, perhaps much later.",
    );
    expect(told("2026-10-03", null, null)).toBe(
      "Hardly before October 2026; how long after that cannot be told.",
    );
    expect(told(null, null, null)).toBe(
      "Not within the time that can be told, as the machine is used today.",
    );
    expect(told("2026-04-01", null, null)).toBe("Any day now, but perhaps much later.");
  });

  test("without a forecast a reading is asked for", () => {
    expect(likelySentence(words, undefined, TODAY)).toBe(
      "We cannot tell yet: please post a reading.",
    );
  });

  test("an American reader has the month first", () => {
    const american = wordingFor("en-US");
    const likely = { from: "2026-05-12", to: "2026-05-30", most: "2026-05-20" };
    expect(likelySentence(american, likely, TODAY)).toBe(
      "Between May 12 and 30, most likely May 20.",
    );
  });

  test("a language without texts is told in English, dates and figures too", () => {
    const basque = wordingFor("eu-ES");
    expect(basque.locale).toBe("en-GB");
    expect(basque.number(1234)).toBe("1,234");
    expect(wordingFor("no such locale!").locale).toBe("en-GB");
  });
});

describe("a due point that is reached", () => {
  const reached = (item: Partial<DueQuestion["item"]>) =>
    dateSentence(words, {
      item: { byRule: "distance", due: { distance: 1000, date: "2026-04-01", hours: 50 }, ...item },
      today: TODAY,
      meterUnit: "km",
    });

  test("says what shows it", () => {
    expect(reached({ reachedBy: "reading" })).toBe("Reached: the meter has passed 1,000 km.");
    expect(reached({ byRule: "hours", reachedBy: "reading" })).toBe(
      "Reached: the hour meter has passed 50 h.",
    );
    expect(reached({ byRule: "date", reachedBy: "calendar" })).toBe("Due since 1 April.");
    expect(reached({ byRule: "date", reachedBy: "calendar", due: { date: TODAY } })).toBe(
      "Due today.",
    );
  });

  test("in the forecast only, it stays a likelihood", () => {
    const likely = { from: "2026-04-01", to: "2026-04-30", most: "2026-04-10" };
    expect(reached({ reachedBy: "forecast", likely })).toBe(
      "Most likely reached already, very likely by 30 April.",
    );
  });
});

describe("in few words", () => {
  test.each([
    ["2026-05-12", "2026-05-30", "2026-05-20", "between 12 and 30 May", "12–30 May"],
    ["2026-04-01", "2026-04-30", "2026-04-20", "any day now, likely by 30 April", "by 30 Apr"],
    ["2026-04-01", "2026-04-30", "2026-04-10", "most likely reached", "perhaps reached"],
    ["2026-10-03", null, null, "hardly before October 2026", "after Oct 2026"],
    [null, null, null, "far away", "far away"],
  ])("%s to %s", (from, to, most, short, drawing) => {
    const likely = { from, to, most };
    expect(likelyInShort(words, likely, TODAY)).toBe(short);
    expect(likelyInDrawing(words, likely, TODAY).replaceAll(/\s–\s/gu, "–")).toBe(drawing);
  });

  test("a calendar limit that is past", () => {
    const item = { byRule: "date", due: { date: "2026-02-01" }, reachedBy: "calendar" } as const;
    expect(dateInShort(words, { item, today: TODAY, meterUnit: "km" })).toBe(
      "due since 1 February",
    );
  });
});

const day = fc.integer({ min: -400, max: 4000 }).map((days) => addDays(TODAY, days));
const likelyDates: fc.Arbitrary<LikelyDates> = fc
  .tuple(day, day, day, fc.integer({ min: 0, max: 3 }))
  .map(([a, b, c, known]) => {
    const [from, most, to] = [a, b, c].sort() as [string, string, string];
    return {
      from: known > 0 ? from : null,
      most: known > 1 ? most : null,
      to: known > 2 ? to : null,
    };
  });

property.prop([likelyDates])(
  "every range is one whole sentence, with nothing left open",
  (likely) => {
    for (const text of [
      likelySentence(words, likely, TODAY),
      likelyInShort(words, likely, TODAY),
    ]) {
      expect(text).not.toMatch(/undefined|null|NaN|[{}]|Invalid/);
    }
    expect(likelySentence(words, likely, TODAY)).toMatch(/^[A-Z].*\.$/);
  },
);

property.prop([day, fc.integer({ min: 0, max: 900 })])(
  "a range told in months holds the days it stands for",
  (from, width) => {
    const to = addDays(from, width);
    const text = likelySentence(words, { from, to, most: from }, "2025-01-01");
    const years = [...text.matchAll(/\b20\d\d\b/g)].map(([year]) => Number(year));
    if (years.length === 0) return;
    expect(Math.min(...years)).toBeLessThanOrEqual(Number(from.slice(0, 4)));
    expect(Math.max(...years)).toBe(Math.max(...years, Number(to.slice(0, 4))));
  },
);
