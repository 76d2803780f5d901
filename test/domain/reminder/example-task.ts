import type { Instant } from "../../../src/domain/calendar/plain-date.ts";
import { comparePlans } from "../../../src/domain/reminder/compare-plans.ts";
import { planTask, type TaskToPlan } from "../../../src/domain/reminder/plan-task.ts";
import type { Preferences } from "../../../src/domain/reminder/preferences.ts";
import type { Existing, Wanted } from "../../../src/domain/reminder/reminder.ts";
import { simulatedOutlook } from "./simulated-outlook.ts";

export const DAY = 86_400_000;
export const at = (text: string): Instant => Date.parse(text);
export const dayOf = (text: string): number => at(text) / DAY;

export const preferences: Preferences = {
  leadDays: 21,
  sendingHour: 8,
  quietDays: [],
  askForReadings: true,
  zone: "Europe/Berlin",
};

export const NOW = at("2026-05-01T10:00:00Z");

export function exampleTask(changes: Partial<TaskToPlan> = {}): TaskToPlan {
  return {
    memberId: "member",
    vehicleId: "vehicle",
    taskId: "task",
    occurrence: "work:1",
    outlook: simulatedOutlook({ lastDay: NOW / DAY, median: 60, spread: 0.3, odds: 0.1, gap: 14 }),
    expectedDay: NOW / DAY + 60,
    paused: false,
    preferences,
    now: NOW,
    existing: [],
    ...changes,
  };
}

export function stored(wanted: Wanted, changes: Partial<Existing> = {}): Existing {
  const { why: _why, ...rest } = wanted;
  const id = `${rest.occurrence}/${rest.revision}/${rest.stage}`;
  return { ...rest, id, status: "planned", ...changes };
}

/** The rows as they stand once a task was planned and its changes were written. */
export function rowsAfter(task: TaskToPlan): Existing[] {
  const changes = comparePlans(task.existing, planTask(task));
  const moved = task.existing.map((row): Existing => {
    const move = changes.move.find(({ id }) => id === row.id);
    if (move !== undefined) return { ...row, plannedFor: move.plannedFor, status: "planned" };
    const isCancelled = changes.cancel.some(({ id }) => id === row.id);
    return isCancelled ? { ...row, status: "cancelled", cancelledBy: "plan" } : row;
  });
  return [...moved, ...changes.insert.map((wanted) => stored(wanted))];
}

export const stagesOf = (wanted: readonly Wanted[]) => wanted.map(({ stage }) => stage);
