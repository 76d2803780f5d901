import fc from "fast-check";
import { describe, expect, it } from "vitest";
import { isoWeekday } from "../../../src/domain/calendar/plain-date.ts";
import { dateAt } from "../../../src/domain/calendar/zone.ts";
import { comparePlans } from "../../../src/domain/reminder/compare-plans.ts";
import { planTask } from "../../../src/domain/reminder/plan-task.ts";
import type { Existing } from "../../../src/domain/reminder/reminder.ts";
import { nextSendingHour } from "../../../src/domain/reminder/sending-hour.ts";
import {
  at,
  DAY,
  dayOf,
  exampleTask,
  NOW,
  preferences,
  rowsAfter,
  stagesOf,
  stored,
} from "./example-task.ts";
import { datedOutlook, simulatedOutlook } from "./simulated-outlook.ts";

const dated = (due: string, late?: string) =>
  exampleTask({
    occurrence: `date:${due}`,
    outlook: datedOutlook(due, late),
    expectedDay: dayOf(due),
  });

describe("a task is planned", () => {
  it("with a reminder a stage, each at a sending hour", () => {
    const wanted = planTask(dated("2026-08-01", "2026-08-15"));
    expect(wanted.map(({ stage, plannedFor }) => [stage, plannedFor])).toEqual([
      ["ahead", at("2026-07-11T06:00:00Z")],
      ["due", at("2026-08-01T06:00:00Z")],
      ["overdue", at("2026-08-16T06:00:00Z")],
    ]);
  });

  it("by its own lead before the member's", () => {
    const [ahead] = planTask({ ...dated("2026-08-01"), lead: { days: 7 } });
    expect(ahead?.plannedFor).toBe(at("2026-07-25T06:00:00Z"));
  });

  it("not at all while paused, done, unknown or without anything known", () => {
    expect(planTask(exampleTask({ paused: true }))).toEqual([]);
    expect(planTask(exampleTask({ occurrence: null }))).toEqual([]);
    expect(planTask(exampleTask({ outlook: null }))).toEqual([]);
  });
});

describe("a stage overtaken by the next is left out", () => {
  it("`ahead` where the task is due already, both where it is overdue", () => {
    expect(stagesOf(planTask(dated("2026-05-01", "2026-05-20")))).toEqual(["due", "overdue"]);
    expect(stagesOf(planTask(dated("2026-03-01", "2026-03-20")))).toEqual(["overdue"]);
  });

  it("where quiet days put both at the same hour", () => {
    const task = { ...dated("2026-05-17"), lead: { days: 1 } };
    const quiet = { ...preferences, quietDays: [6, 7] };
    expect(stagesOf(planTask(task))).toEqual(["ahead", "due"]);
    expect(stagesOf(planTask({ ...task, preferences: quiet }))).toEqual(["due"]);
  });

  it("where a later one was sent already", () => {
    const task = dated("2026-08-01");
    const due = planTask(task).find(({ stage }) => stage === "due")!;
    const existing = [
      stored(due, { status: "sent", sentAt: NOW, dueAtSending: task.expectedDay! }),
    ];
    expect(stagesOf(planTask({ ...task, existing }))).toEqual(["due"]);
  });
});

describe("a lay-up", () => {
  const reached = simulatedOutlook(
    { lastDay: NOW / DAY, median: 60, spread: 0.2, odds: 0, gap: 14 },
    { reachedByReading: true },
  );

  it("without a known end pauses what the meters say", () => {
    expect(planTask(exampleTask({ outlook: reached, stillUntil: null }))).toEqual([]);
  });

  it("with a known end holds it until then", () => {
    const stillUntil = at("2026-06-01T00:00:00Z");
    const [due] = planTask(exampleTask({ outlook: reached, stillUntil }));
    expect(due).toMatchObject({ stage: "due", plannedFor: at("2026-06-01T06:00:00Z") });
  });

  it("lets the calendar speak on", () => {
    const task = exampleTask({ outlook: { ...reached, dueDate: "2026-08-01" } });
    const [ahead] = planTask({ ...task, stillUntil: null });
    expect(ahead).toMatchObject({ stage: "ahead", plannedFor: at("2026-07-11T06:00:00Z") });
  });

  it("that has ended holds nothing", () => {
    const [due] = planTask(exampleTask({ outlook: reached, stillUntil: NOW - DAY }));
    expect(due?.plannedFor).toBe(at("2026-05-02T06:00:00Z"));
  });
});

describe("a deferral", () => {
  const task = dated("2026-05-10", "2026-05-25");
  const deferred = (deferredUntil: Existing["deferredUntil"]) => ({
    ...task,
    existing: [stored(planTask(task)[0]!, { status: "deferred", deferredUntil })],
  });

  it("until a date holds every stage until that date's sending hour", () => {
    const wanted = planTask(deferred({ on: "2026-05-08" }));
    expect(wanted[0]).toMatchObject({
      stage: "ahead",
      plannedFor: at("2026-05-08T06:00:00Z"),
      why: { by: "calendar", deferred: true },
    });
  });

  it("past the due date lets the furthest stage speak then", () => {
    const wanted = planTask(deferred({ on: "2026-05-12" }));
    expect(wanted[0]).toMatchObject({ stage: "due", plannedFor: at("2026-05-12T06:00:00Z") });
    expect(stagesOf(wanted)).toEqual(["due", "overdue"]);
  });

  it("until a distance ends when the total has more likely than not reached it", () => {
    const rider = { lastDay: NOW / DAY, median: 60, spread: 0.2, odds: 0, gap: 14 };
    const ridden = exampleTask({
      outlook: simulatedOutlook({ ...rider, perDay: 20, dueTotal: 10_000 }),
    });
    const row = stored(planTask(ridden)[0]!, {
      status: "deferred",
      deferredUntil: { distance: 9_800 },
    });
    const [ahead] = planTask({ ...ridden, existing: [row] });
    expect(ahead).toMatchObject({ stage: "ahead", why: { deferred: true } });
    expect(Math.abs(ahead!.plannedFor / DAY - (NOW / DAY + 50))).toBeLessThanOrEqual(2);
  });

  it("until a distance that never comes ends with the calendar's window", () => {
    const [first] = planTask(deferred({ distance: 99_999 }));
    expect(first).toMatchObject({ stage: "overdue", plannedFor: at("2026-05-26T06:00:00Z") });
  });

  it("of a reminder that was sent brings it once more", () => {
    const [row] = deferred({ on: "2026-05-08" }).existing;
    const existing = [{ ...row!, sentAt: NOW - DAY, dueAtSending: task.expectedDay! }];
    const again = { ...task, existing };
    expect(comparePlans(existing, planTask(again)).move).toEqual([
      {
        id: row!.id,
        plannedFor: at("2026-05-08T06:00:00Z"),
        why: { by: "calendar", deferred: true },
      },
    ]);
  });
});

describe("what a person cancels", () => {
  it("stays silent in that stage of that occurrence, whatever the revision", () => {
    const task = dated("2026-08-01");
    const [ahead] = planTask(task);
    const existing = [stored(ahead!, { status: "cancelled", cancelledBy: "person" })];
    expect(stagesOf(planTask({ ...task, existing }))).toEqual(["due"]);
    const sentDue = stored(planTask(task)[1]!, {
      status: "sent",
      sentAt: NOW,
      dueAtSending: dayOf("2026-05-01"),
    });
    const revised = planTask({ ...task, existing: [...existing, sentDue] });
    expect(revised.map(({ stage, revision }) => [stage, revision])).toEqual([["due", 1]]);
  });

  it("speaks again in the next occurrence", () => {
    const [ahead] = planTask(dated("2026-08-01"));
    const existing = [stored(ahead!, { status: "cancelled", cancelledBy: "person" })];
    expect(stagesOf(planTask({ ...dated("2027-08-01"), existing }))).toEqual(["ahead", "due"]);
  });
});

describe("a slipped reading", () => {
  // Read as 52,100 instead of 5,210: overdue at once; corrected, the work is due in 200 days.
  const rider = { lastDay: NOW / DAY, median: 200, spread: 0.2, odds: 0, gap: 14 };
  const slip = { reachedByReading: true, pastByReading: true };
  const wrong = exampleTask({
    occurrence: "start",
    outlook: simulatedOutlook(rider, slip),
    expectedDay: NOW / DAY,
  });
  const mailed = planTask(wrong).map((wanted) =>
    stored(wanted, { status: "sent", sentAt: wanted.plannedFor, dueAtSending: NOW / DAY }),
  );
  const corrected = exampleTask({
    occurrence: "start",
    outlook: simulatedOutlook(rider),
    expectedDay: NOW / DAY + 200,
    now: NOW + 2 * DAY,
    existing: mailed,
  });

  it("that mailed too soon does not silence the real reminder, which comes once", () => {
    expect(stagesOf(planTask(wrong))).toEqual(["overdue"]);
    const wanted = planTask(corrected);
    expect(wanted.map(({ stage, revision }) => [stage, revision])).toEqual([
      ["ahead", 1],
      ["due", 1],
      ["overdue", 1],
    ]);
    const rows = rowsAfter(corrected);
    const replanned = { ...corrected, existing: rows };
    expect(comparePlans(rows, planTask(replanned))).toEqual({ insert: [], move: [], cancel: [] });
  });
});

it("a yearly date that nobody logged last year reminds this year", () => {
  const lastYear = planTask({ ...dated("2025-08-01"), now: at("2025-05-01T10:00:00Z") });
  const existing = lastYear.map((wanted) =>
    stored(wanted, {
      status: "sent",
      sentAt: wanted.plannedFor,
      dueAtSending: dayOf("2025-08-01"),
    }),
  );
  const task = { ...dated("2026-08-01"), existing };
  expect(stagesOf(comparePlans(existing, planTask(task)).insert)).toEqual(["ahead", "due"]);
});

it("a reminder whose hour has come but that was not yet swept keeps it when a reading arrives", () => {
  const task = dated("2026-05-10");
  const rows = [stored(planTask(task)[0]!)];
  const later = { ...task, now: rows[0]!.plannedFor + 60_000, existing: rows };
  expect(planTask(later)[0]?.plannedFor).toBe(rows[0]!.plannedFor);
});

const tasks = fc
  .record({
    median: fc.double({ min: 1, max: 500, noNaN: true }),
    spread: fc.double({ min: 0.1, max: 0.7, noNaN: true }),
    odds: fc.double({ min: 0, max: 0.5, noNaN: true }),
    gap: fc.double({ min: 7, max: 60, noNaN: true }),
    hasDate: fc.boolean(),
    dueIn: fc.integer({ min: -50, max: 600 }),
    leadDays: fc.integer({ min: 0, max: 60 }),
    sendingHour: fc.integer({ min: 0, max: 23 }),
    quietDays: fc.uniqueArray(fc.integer({ min: 1, max: 7 }), { maxLength: 6 }),
    zone: fc.constantFrom("Europe/Berlin", "America/St_Johns", "Pacific/Chatham"),
  })
  .map(({ hasDate, dueIn, leadDays, sendingHour, quietDays, zone, ...rider }) => {
    const dueDate = hasDate ? dateAt(NOW + dueIn * DAY, zone) : undefined;
    return exampleTask({
      outlook: simulatedOutlook({ ...rider, lastDay: NOW / DAY }, { dueDate, lateDate: dueDate }),
      expectedDay: NOW / DAY + Math.min(rider.median, hasDate ? dueIn : Number.POSITIVE_INFINITY),
      preferences: { ...preferences, leadDays, sendingHour, quietDays, zone },
    });
  });

describe("for every task", () => {
  it("each reminder lies on a sending hour, not before now, not on a quiet day, in order", () => {
    fc.assert(
      fc.property(tasks, (task) => {
        const wanted = planTask(task);
        for (const { plannedFor } of wanted) {
          expect(plannedFor).toBeGreaterThanOrEqual(NOW);
          expect(nextSendingHour(plannedFor, task.preferences)).toBe(plannedFor);
          const weekday = isoWeekday(dateAt(plannedFor, task.preferences.zone));
          expect(task.preferences.quietDays).not.toContain(weekday);
        }
        const moments = wanted.map(({ plannedFor }) => plannedFor);
        expect([...new Set(moments)].sort((a, b) => a - b)).toEqual(moments);
      }),
    );
  });

  it("planning again with the same data changes nothing", () => {
    fc.assert(
      fc.property(tasks, (task) => {
        const existing = rowsAfter(task);
        expect(comparePlans(existing, planTask({ ...task, existing }))).toEqual({
          insert: [],
          move: [],
          cancel: [],
        });
      }),
    );
  });

  it("nothing moves or comes again once sent, whatever is posted afterwards to the same effect", () => {
    fc.assert(
      fc.property(tasks, fc.integer({ min: 0, max: 20 }), (task, waited) => {
        const existing = rowsAfter(task).map(
          (row): Existing => ({
            ...row,
            status: "sent",
            sentAt: row.plannedFor,
            dueAtSending: task.expectedDay ?? 0,
          }),
        );
        const later = { ...task, now: NOW + waited * DAY, existing };
        const changes = comparePlans(existing, planTask(later));
        expect(changes.move).toEqual([]);
        expect(changes.cancel).toEqual([]);
        const sent = new Set(existing.map(({ stage }) => stage));
        expect(changes.insert.filter(({ stage }) => sent.has(stage))).toEqual([]);
      }),
    );
  });
});
