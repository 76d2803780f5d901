import { describe, expect, test } from "vitest";
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
const told = (
  from: string | null,
  to: string | null,
  most: string | null,
  today = TODAY,
  zone?: string,
) => likelySentence(words, { from, to, most }, today, zone);

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
    expect(told("2027-01-05", "2027-02-02", "2027-01-20")).toBe(
      "Between 5 January and 2 February 2027, most likely 20 January.",
    );
    expect(told("2026-12-20", "2027-01-15", "2027-01-02", "2026-12-01")).toBe(
      "Between 20 December 2026 and 15 January 2027, most likely 2 January.",
    );
  });

  test("a day is about the most likely one where the range is more than a month", () => {
    expect(told("2026-05-12", "2026-07-02", "2026-06-03")).toBe(
      "Between 12 May and 2 July, most likely around 3 June.",
    );
  });

  test("a wide range is told in months, for days would promise too much", () => {
    expect(told("2026-09-03", "2027-02-10", "2026-11-20")).toBe(
      "Between September 2026 and February 2027, most likely November 2026.",
    );
  });

  test("a wider one in seasons, where the reader has them; else without a most likely month", () => {
    const wide = ["2026-09-25", "2028-05-17", "2027-06-09", TODAY] as const;
    expect(told(...wide, "Europe/Dublin")).toBe(
      "Between autumn 2026 and spring 2028, most likely summer 2027.",
    );
    expect(told(...wide, "Australia/Sydney")).toBe(
      "Between spring 2026 and autumn 2028, most likely winter 2027.",
    );
    expect(told(...wide, "Asia/Singapore")).toBe("Between September 2026 and May 2028.");
    expect(told("2026-12-20", "2028-01-10", "2027-07-02", TODAY, "Europe/Dublin")).toBe(
      "Between winter 2026/27 and winter 2027/28, most likely summer 2027.",
    );
  });

  test("of a range without a near end only the start is told, the season in words", () => {
    expect(told("2026-10-03", null, "2028-03-05", TODAY, "Europe/Dublin")).toBe(
      "Not before autumn; how much later, we cannot tell.",
    );
    expect(told("2027-04-20", null, null, TODAY, "Europe/Dublin")).toBe(
      "Not before spring 2027; how much later, we cannot tell.",
    );
    expect(told("2027-10-08", "2032-02-19", "2029-06-06", TODAY, "Europe/Dublin")).toBe(
      "Not before autumn 2027, perhaps as late as 2032.",
    );
    expect(told("2030-08-07", null, null, TODAY, "Europe/Dublin")).toBe(
      "Not before 2030; how much later, we cannot tell.",
    );
    expect(told("2026-06-20", null, null)).toBe(
      "Not before June 2026; how much later, we cannot tell.",
    );
    expect(told("2026-04-29", null, null)).toBe(
      "Not before 29 April; how much later, we cannot tell.",
    );
    expect(told(null, null, null)).toBe("Not for about ten years, as the machine is used today.");
  });

  test("a date that is certain is told as one", () => {
    expect(told("2026-05-01", "2026-05-01", "2026-05-01")).toBe("On 1 May.");
  });

  test("a date on which all quantiles agree and that is over is reached", () => {
    expect(told("2026-03-08", "2026-03-08", "2026-03-08")).toBe("Reached.");
    expect(told(TODAY, TODAY, TODAY)).toBe("Due today.");
  });

  test("where it may be reached already, that is said, and how likely", () => {
    expect(told("2026-04-01", "2026-04-30", "2026-04-20")).toBe(
      "Perhaps reached already, most likely 20 April, very likely by 30 April.",
    );
    expect(told("2026-04-01", "2026-09-10", "2026-06-20")).toBe(
      "Perhaps reached already, most likely June 2026, very likely by the end of September 2026.",
    );
    expect(told("2026-04-01", "2027-04-10", "2026-06-20")).toBe(
      "Perhaps reached already, very likely by the end of April 2027.",
    );
    expect(told("2026-04-01", "2026-04-30", "2026-04-10")).toBe(
      "Probably reached already, very likely by 30 April.",
    );
    expect(told("2026-03-01", "2026-04-10", "2026-04-01")).toBe("Very likely reached already.");
  });

  test("a range that has begun and has no near end is of no use: a reading is asked for", () => {
    expect(told("2026-01-19", "2029-06-06", "2028-08-28")).toBe(
      "We cannot tell: please post a reading.",
    );
    expect(told("2026-04-01", null, null)).toBe("We cannot tell: please post a reading.");
    expect(told("2026-04-01", null, "2026-05-20")).toBe(
      "We cannot tell: please post a reading. It is as likely as not by 20 May.",
    );
    expect(told("2026-04-01", null, "2026-08-20")).toBe(
      "We cannot tell: please post a reading. It is as likely as not by the end of August 2026.",
    );
    expect(told("2026-01-01", null, "2026-04-01")).toBe(
      "We cannot tell: please post a reading. It is more likely than not reached already.",
    );
    expect(told("2026-04-20", null, null)).toBe("We cannot tell: please post a reading.");
  });

  test("without a forecast a reading is asked for", () => {
    expect(likelySentence(words, undefined, TODAY)).toBe("We cannot tell: please post a reading.");
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
      "Probably reached already, very likely by 30 April.",
    );
  });
});

describe("in few words", () => {
  test.each([
    ["2026-05-12", "2026-05-30", "2026-05-20", "between 12 and 30 May", "12–30 May"],
    [
      "2026-04-01",
      "2026-04-30",
      "2026-04-20",
      "perhaps already, very likely by 30 April",
      "by 30 Apr",
    ],
    [
      "2026-04-01",
      "2026-09-10",
      "2026-06-20",
      "perhaps already, very likely by the end of September 2026",
      "by end of Sept 2026",
    ],
    ["2026-04-01", "2026-04-30", "2026-04-10", "probably reached already", "by 30 Apr"],
    ["2026-03-01", "2026-04-10", "2026-04-01", "very likely reached", "very likely reached"],
    ["2026-03-08", "2026-03-08", "2026-03-08", "reached", "reached"],
    ["2026-10-03", null, null, "not before October 2026", "from Oct 2026"],
    ["2026-04-01", null, "2026-05-20", "perhaps by 20 May, please post a reading", "not known"],
    ["2026-04-01", null, null, "date not known, please post a reading", "not known"],
    ["2026-01-01", null, "2026-04-01", "perhaps reached, please post a reading", "not known"],
    [null, null, null, "not for about ten years", "in ten years or more"],
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
