import type { Instant } from "../../domain/calendar/plain-date.ts";
import { type Deps, eventOf, fresh } from "../deps.ts";
import type { New, Transaction } from "../ports.ts";
import type { EventRecord, Schedule, ScheduleLine, StatedWork, Task } from "../records.ts";
import { type LineChanges, lineChanges } from "./line-changes.ts";

/** What became of the tasks of all machines together. */
export interface PutOn {
  vehicles: number;
  tasksAdded: number;
  tasksKept: number;
  tasksRemoved: number;
}

interface OnMachine extends LineChanges {
  vehicleId: string;
}

/**
 * Brings the tasks of these machines in line with the schedule, in statements whose number follows
 * the lines and not the machines. Reminders are planned anew by the worker's next round, which plans
 * before it gathers what is due: nothing goes out by the plan before.
 */
export async function putOn(
  tx: Transaction,
  schedule: Schedule,
  vehicleIds: readonly string[],
  statedWork: StatedWork,
  now: Instant,
  deps: Deps,
): Promise<PutOn> {
  await tx.scheduled.lock(vehicleIds);
  const byMachine = grouped(await tx.scheduled.tasksOn(vehicleIds), (task) => task.vehicleId);
  const changes = vehicleIds.map((vehicleId): OnMachine => {
    return { vehicleId, ...lineChanges(schedule, byMachine.get(vehicleId) ?? []) };
  });
  const kept = changes.flatMap((change) => change.kept);
  const added = changes.flatMap(({ vehicleId, added: lines }) =>
    lines.map((line) => taskOf(line, schedule.id, vehicleId, statedWork, fresh(deps, now))),
  );
  const removed = changes.flatMap((change) => change.removed);
  await tx.scheduled.add(added);
  for (const [line, ofLine] of grouped(kept, ({ line }) => line)) {
    const fields = { ...lineFields(line), scheduleId: schedule.id, scheduleLine: line.id };
    const taskIds = ofLine.map(({ task }) => task.id);
    await tx.scheduled.change(taskIds, fields, now);
  }
  await tx.scheduled.remove(removed.map(({ id }) => id));
  await tx.scheduled.stand(vehicleIds, schedule.id, now);
  const events = vehicleIds.map((vehicleId) => changedOn(vehicleId, schedule, now, deps));
  await tx.machine.write({ events }, now);
  return {
    vehicles: vehicleIds.length,
    tasksAdded: added.length,
    tasksKept: kept.length,
    tasksRemoved: removed.length,
  };
}

function grouped<T, K>(items: readonly T[], keyOf: (item: T) => K): Map<K, T[]> {
  const groups = new Map<K, T[]>();
  for (const item of items) {
    const group = groups.get(keyOf(item));
    if (group) group.push(item);
    else groups.set(keyOf(item), [item]);
  }
  return groups;
}

/** What a task has of its line: all but what belongs to the machine. */
function lineFields({ id: _id, ...fields }: ScheduleLine): Omit<ScheduleLine, "id"> {
  return fields;
}

function taskOf(
  line: ScheduleLine,
  scheduleId: string,
  vehicleId: string,
  statedWork: StatedWork,
  marks: ReturnType<typeof fresh>,
): New<Task> {
  const { plan, ...fields } = lineFields(line);
  const own = { vehicleId, scheduleId, scheduleLine: line.id, statedWork };
  return { ...marks, ...fields, ...own, plan: { ...plan, paused: false } };
}

function changedOn(vehicleId: string, { id }: Schedule, now: Instant, deps: Deps): EventRecord {
  const subject = { resourceId: vehicleId, vehicleId };
  return eventOf(deps, now, "schedule.changed", subject, { scheduleId: id });
}
