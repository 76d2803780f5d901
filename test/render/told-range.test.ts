import { fc, test as property } from "@fast-check/vitest";
import { describe, expect } from "vitest";
import type { LikelyDates } from "../../src/application/views.ts";
import { addDays, daysBetween, type PlainDate } from "../../src/domain/calendar/plain-date.ts";
import { likelyInShort, likelySentence } from "../../src/render/date-sentence.ts";
import { openingOf, subjectOf } from "../../src/render/mail/subject.ts";
import { seasonsOf } from "../../src/render/season.ts";
import { wordingFor } from "../../src/render/wording.ts";
import { type Heard, hear } from "./date-words.ts";
import { machine150, oneJob, valveClearance } from "./samples.ts";

const words = wordingFor("en");

interface Case {
  likely: LikelyDates;
  today: PlainDate;
  zone: string | undefined;
}

/** Days of every order: tomorrow, next month, next year, in many years, never. */
const step = fc.oneof(
  fc.integer({ min: 0, max: 20 }),
  fc.integer({ min: 0, max: 120 }),
  fc.integer({ min: 0, max: 1200 }),
  fc.constant(null),
);
const cases: fc.Arbitrary<Case> = fc
  .record({
    today: fc.integer({ min: 0, max: 3000 }).map((days) => addDays("2026-01-01", days)),
    start: fc.oneof(
      fc.integer({ min: -30, max: 30 }),
      fc.integer({ min: -400, max: 400 }),
      fc.integer({ min: 0, max: 3650 }),
    ),
    steps: fc.tuple(step, step),
    zone: fc.constantFrom("Europe/Dublin", "Australia/Sydney", "Asia/Singapore", undefined),
  })
  .map(({ today, start, steps: [first, second], zone }) => {
    const from = addDays(today, start);
    const most = first === null ? null : addDays(from, first);
    const to = most === null || second === null ? null : addDays(most, second);
    return { likely: { from, most, to }, today, zone };
  });

/** What the sentence says, read back. */
function heard({ likely, today, zone }: Case) {
  const text = likelySentence(words, likely, today, zone);
  const south = zone !== undefined && seasonsOf(zone) === "south";
  const read = (pattern: RegExp, after?: string): Heard | undefined => {
    const found = pattern.exec(text)?.[1];
    return found === undefined ? undefined : hear(found, today, south, after);
  };
  const start = /^Between (.*?) and /.exec(text)?.[1];
  const last = /^Between .* and ([^,]*?)(?:,|\.$)/.exec(text)?.[1];
  return {
    text,
    on: read(/^On (.*)\.$/),
    from: start === undefined ? undefined : hear(start, today, south, last),
    to: last === undefined ? undefined : hear(last, today, south),
    most: inRange(start, last, (after) => read(/most likely (?:around )?([^,]*?)(?:,|\.$)/, after)),
    notBefore: read(/^Not before ([^,;]*)/),
    late: read(/perhaps as late as (.*)\.$/),
    by: read(/very likely by (.*)\.$/),
    asLikelyAsNot: read(/as likely as not by (.*)\.$/),
  };
}

/** A day without its year is the one between both ends, whose years may differ. */
function inRange(
  start: string | undefined,
  last: string | undefined,
  readAs: (after?: string) => Heard | undefined,
): Heard | undefined {
  const [early, late] = [readAs(start), readAs(last)];
  const known = start?.match(/\d{4}/) && late && early && early.first !== late.first;
  return known && /1[0-2]|0[7-9]/.test(early.first.slice(5, 7)) ? early : late;
}

const FAR = "9999-12-31";

describe("what a sentence tells of any quantiles", () => {
  property.prop([cases], { numRuns: 3000 })(
    "holds every day from P10 to P90, and none is told finer than it is known",
    (one) => {
      const { from, to } = one.likely;
      const told = heard(one);
      const first = told.on ?? told.from ?? told.notBefore;
      if (first) expect(first.first <= (from ?? FAR), told.text).toBe(true);
      const last = told.on ?? told.to ?? told.late ?? told.by;
      if (last) expect(last.last >= (to ?? FAR), told.text).toBe(true);
      if (to === null) expect(last, told.text).toBeUndefined();
    },
  );

  property.prop([cases], { numRuns: 2000 })(
    "names nothing that is over as still to come",
    (one) => {
      const { text, ...told } = heard(one);
      for (const period of Object.values(told)) {
        if (period) expect(period.last >= one.today, text).toBe(true);
      }
      // "Not before this month" would say nothing.
      if (told.notBefore) expect(told.notBefore.first > one.today, text).toBe(true);
    },
  );

  property.prop([cases], { numRuns: 2000 })(
    "calls most likely only what holds P50, inside the range and as exact as the range allows",
    (one) => {
      const { text, most, from, to, by } = heard(one);
      if (!most) return;
      const median = one.likely.most as PlainDate;
      expect(most.first <= median && median <= most.last, text).toBe(true);
      const end = (to ?? by) as Heard;
      expect(most.last <= end.last, text).toBe(true);
      if (from) expect(most.first >= from.first, text).toBe(true);
      if (most.first === most.last) expect(end.first, text).toBe(end.last);
    },
  );

  property.prop([cases], { numRuns: 2000 })(
    "asks for a reading where the range has begun, or soon does, and has no end in sight",
    (one) => {
      const { from, to } = one.likely;
      const { text, asLikelyAsNot } = heard(one);
      const soon = from !== null && daysBetween(one.today, from);
      const open = to === null || daysBetween(one.today, to) > 400;
      if (soon !== false && soon <= 0 && open && from !== to) {
        expect(text).toMatch(/^We cannot tell: please post a reading\./);
      }
      if (text.startsWith("We cannot tell"))
        expect(soon !== false && soon <= 14 && open).toBe(true);
      if (asLikelyAsNot) expect(asLikelyAsNot.last >= (one.likely.most as PlainDate)).toBe(true);
    },
  );

  property.prop([cases])("is short and calm, in a sentence and in a subject", (one) => {
    const { text } = heard(one);
    expect(text.length).toBeLessThan(110);
    const short = likelyInShort(words, one.likely, one.today, one.zone);
    for (const told of [text, short]) {
      expect(told).not.toMatch(/['’!]|undefined|null|NaN|[{}]|Invalid/);
    }
    // A subject never names a date that the sentence does not know.
    for (const [year] of short.matchAll(/\b\d{4}\b/g)) expect(text).toContain(year);
  });

  property.prop([cases])(
    "leaves machine, job and range in the first 90 characters of a mail",
    (one) => {
      const long =
        "A long name of a job or machine that goes on and on and on and on and on and on";
      const { today, likely } = one;
      const item = { ...valveClearance, title: long, likely };
      const zone = one.zone ?? "Asia/Singapore";
      const view = {
        ...oneJob,
        today,
        zone,
        machines: [{ ...machine150, name: long, items: [item] }],
      };
      const range = likelyInShort(words, likely, today, zone);
      expect(openingOf(words, view).slice(0, 90)).toMatch(/^A long.*: A long/);
      expect(openingOf(words, view).slice(0, 90)).toContain(`, ${range}.`);
      expect(subjectOf(words, view).endsWith(`: ${range}`)).toBe(true);
    },
  );
});
