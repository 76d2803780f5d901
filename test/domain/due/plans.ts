import fc from "fast-check";
import { dateOfDay } from "../../../src/domain/calendar/plain-date.ts";
import { type Due, type DuePoint, duePoint } from "../../../src/domain/due/due-point.ts";
import type { LastWork, MachineFacts, TaskPlan } from "../../../src/domain/interval/task-plan.ts";

/** A recurring task by completion, with whatever a test says otherwise. */
export function plan(told: Partial<TaskPlan>): TaskPlan {
  return {
    kind: "recurring",
    whichever: "first",
    repeatFrom: "completion",
    countsFrom: "work",
    paused: false,
    ...told,
  };
}

export const machine: MachineFacts = { meterUnit: "km", inServiceOn: "2025-01-31" };
export const never: LastWork = { state: "never" };
export const unknown: LastWork = { state: "unknown" };

export function done(told: Partial<Extract<LastWork, { state: "done" }>>): LastWork {
  return { state: "done", on: "2025-06-01", recordId: "w1", ...told };
}

export function dueOf(
  told: Partial<TaskPlan>,
  last: LastWork,
  facts: Partial<MachineFacts> = {},
  today = "2026-06-01",
): Due {
  return duePoint(plan(told), last, { ...machine, ...facts }, today);
}

export function pointOf(...args: Parameters<typeof dueOf>): DuePoint {
  const due = dueOf(...args);
  if (due.state !== "point") throw new Error(`no due point but ${due.state}`);
  return due.point;
}

export const anyDate = fc.integer({ min: 18_000, max: 25_000 }).map(dateOfDay);
export const anyDistance = fc.integer({ min: 0, max: 1_500_000 }).map((tenths) => tenths / 10);
export const anyLimits = fc
  .record(
    {
      distance: fc.integer({ min: 100, max: 60_000 }),
      months: fc.integer({ min: 1, max: 120 }),
      hours: fc.integer({ min: 5, max: 2000 }),
    },
    { requiredKeys: [] },
  )
  .filter((limits) => Object.keys(limits).length > 0);
export const anyWork = fc.record({
  state: fc.constant("done" as const),
  on: anyDate,
  distance: anyDistance,
  hours: fc.integer({ min: 0, max: 5000 }),
});
