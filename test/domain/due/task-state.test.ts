import { fc, test } from "@fast-check/vitest";
import { describe, expect } from "vitest";
import { type Evidence, taskState } from "../../../src/domain/due/task-state.ts";
import type { TaskPlan } from "../../../src/domain/interval/task-plan.ts";
import { done, dueOf, plan, unknown } from "./plans.ts";

const every = { distance: 6000, months: 12 };
const last = done({ on: "2025-06-01", distance: 2000 });
// Due at 8000 km or on 2026-06-01; windows 7400 to 8600 km, 2026-04-25 to 2026-07-08.

function stateOf(told: Partial<TaskPlan>, evidence: Partial<Evidence>, work = last) {
  return taskState(dueOf({ every, ...told }, work), plan(told), {
    today: "2026-01-01",
    total: { distance: 5000 },
    reached: 0,
    past: 0,
    withinLead: 0,
    threshold: 0.3,
    standsStill: false,
    ...evidence,
  });
}

describe("a task", () => {
  test("whose last work is unknown says so", () => {
    expect(stateOf({}, { total: { distance: 90_000 } }, unknown)).toEqual({ state: "unknown" });
  });

  test("of which nothing tells when it falls due does not pass for one that is far off", () => {
    expect(stateOf({}, { total: {}, withinLead: null })).toEqual({ state: "unknown" });
  });

  test("that was a one-off is done, paused or not", () => {
    expect(stateOf({ kind: "once", paused: true }, {})).toEqual({ state: "done" });
  });

  test("that a person paused is paused", () => {
    expect(stateOf({ paused: true }, { total: { distance: 9000 } })).toEqual({ state: "paused" });
  });

  test("is later, and ahead from the threshold on", () => {
    expect(stateOf({}, { withinLead: 0.29 })).toEqual({ state: "later" });
    expect(stateOf({}, { withinLead: 0.3, likeliest: "distance" })).toEqual({
      state: "ahead",
      by: "distance",
    });
  });

  test("with one limit names it without being told", () => {
    expect(stateOf({ every: { distance: 6000 } }, {})).toEqual({ state: "later", by: "distance" });
  });

  test.each([
    ["a reading", { total: { distance: 8000 } }, "due", "distance", "reading"],
    ["the calendar", { today: "2026-06-01" }, "due", "date", "calendar"],
    ["the forecast", { reached: 0.51, likeliest: "distance" }, "due", "distance", "forecast"],
    [
      "a reading past the window",
      { total: { distance: 8600.1 } },
      "overdue",
      "distance",
      "reading",
    ],
    ["a date past the window", { today: "2026-07-09" }, "overdue", "date", "calendar"],
    ["the forecast", { past: 0.6, likeliest: "distance" }, "overdue", "distance", "forecast"],
  ] as const)("by %s: %j is %s", (_by, evidence, state, by, knownFrom) => {
    expect(stateOf({}, evidence)).toEqual({ state, by, knownFrom });
  });

  test("on the late edge of its window is due, not overdue", () => {
    expect(stateOf({}, { total: { distance: 8600 }, today: "2026-07-08" }).state).toBe("due");
  });

  test("as likely as not is not due yet", () => {
    expect(stateOf({}, { reached: 0.5, past: 0.5 }).state).toBe("later");
  });
});

describe("whichever comes last", () => {
  const told = { whichever: "last" } as const;

  test("is due when every limit is reached, and overdue past every window", () => {
    expect(stateOf(told, { total: { distance: 9000 } }).state).toBe("later");
    expect(stateOf(told, { total: { distance: 9000 }, today: "2026-06-01" }).state).toBe("due");
    expect(stateOf(told, { total: { distance: 9000 }, today: "2026-07-09" }).state).toBe("overdue");
  });
});

describe("while the machine is laid up", () => {
  const laidUp = { standsStill: true, reached: 0.9, past: 0.9, withinLead: 1 };

  test("a task by distance alone is paused, unless a reading shows that it was due", () => {
    const told = { every: { distance: 6000 } };
    expect(stateOf(told, laidUp)).toEqual({ state: "paused" });
    expect(stateOf(told, { ...laidUp, total: { distance: 8000 } }).state).toBe("due");
    expect(stateOf(told, { ...laidUp, total: { distance: 8700 } }).state).toBe("overdue");
  });

  test("a task with a date runs on", () => {
    const still = { standsStill: true, today: "2026-06-01" };
    expect(stateOf({}, still)).toEqual({ state: "due", by: "date", knownFrom: "calendar" });
  });
});

test("a limit without a meter is no evidence", () => {
  const told = { every: { hours: 50 } };
  expect(stateOf(told, { total: { distance: 99_999 } }, { state: "never" })).toEqual({
    state: "later",
    by: "hours",
  });
});

const order = ["later", "ahead", "due", "overdue"];

test.prop([fc.integer({ min: 0, max: 20_000 }), fc.integer({ min: 0, max: 20_000 })])(
  "more distance never takes a state back",
  (a, b) => {
    const rank = (distance: number) => order.indexOf(stateOf({}, { total: { distance } }).state);
    expect(rank(Math.min(a, b))).toBeLessThanOrEqual(rank(Math.max(a, b)));
  },
);
