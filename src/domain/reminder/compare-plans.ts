import type { Instant } from "../calendar/plain-date.ts";
import { type Existing, isOpen, reminderKey, type Wanted, type Why } from "./reminder.ts";

/**
 * Why a planned reminder is dropped: its occurrence is over (the work was logged, the date went by),
 * the due point was revised, a later stage speaks instead, or the rules no longer ask for it.
 */
export type CancelWhy = "occurrenceOver" | "revised" | "overtaken" | "notWanted";

export interface PlanChanges {
  insert: Wanted[];
  /** New moments of open rows; also of rows that a plan had cancelled: they become planned again. */
  move: { id: string; plannedFor: Instant; why: Why }[];
  cancel: { id: string; why: CancelWhy }[];
}

/**
 * What must be written so that the stored reminders are those wanted; nothing where no moment
 * changed. `existing` and `wanted` cover the same members, tasks and vehicles. What was sent,
 * failed or cancelled by a person stays as it is and is not made again under the same key.
 * `inForce`: by task id, the occurrence now in force (null: none), which tells a logged task from
 * one that is merely out of sight.
 */
export function comparePlans(
  existing: readonly Existing[],
  wanted: readonly Wanted[],
  inForce: ReadonlyMap<string, string | null> = new Map(),
): PlanChanges {
  const stored = new Map(existing.map((reminder) => [reminderKey(reminder), reminder]));
  const changes: PlanChanges = { insert: [], move: [], cancel: [] };
  const kept = new Set<string>();
  for (const one of wanted) {
    const key = reminderKey(one);
    if (kept.has(key)) continue;
    kept.add(key);
    const row = stored.get(key);
    if (row === undefined) changes.insert.push(one);
    else if (mustMove(row, one)) {
      changes.move.push({ id: row.id, plannedFor: one.plannedFor, why: one.why });
    }
  }
  for (const row of existing) {
    if (isOpen(row) && !kept.has(reminderKey(row))) {
      changes.cancel.push({ id: row.id, why: cancelWhy(row, wanted, inForce) });
    }
  }
  return changes;
}

function mustMove(row: Existing, wanted: Wanted): boolean {
  if (isOpen(row)) return row.plannedFor !== wanted.plannedFor;
  return row.status === "cancelled" && row.cancelledBy === "plan";
}

function cancelWhy(
  row: Existing,
  wanted: readonly Wanted[],
  inForce: ReadonlyMap<string, string | null>,
): CancelWhy {
  const now = wanted.find(
    ({ memberId, vehicleId, taskId }) =>
      memberId === row.memberId && vehicleId === row.vehicleId && taskId === row.taskId,
  );
  const occurrence = now?.occurrence ?? (row.taskId === null ? undefined : inForce.get(row.taskId));
  if (occurrence !== undefined && occurrence !== row.occurrence) return "occurrenceOver";
  if (now === undefined) return "notWanted";
  return now.revision === row.revision ? "overtaken" : "revised";
}
