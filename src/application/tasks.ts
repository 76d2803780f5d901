import { isDeepStrictEqual } from "node:util";
import type { ExpectedVersion } from "../domain/failure/expected-version.ts";
import { Refusal } from "../domain/failure/failure.ts";
import { type Caller, requireVehicle } from "./caller.ts";
import { accountTime, type Deps, eventOf, fresh } from "./deps.ts";
import { findOfVehicle } from "./find-or-refuse.ts";
import type { Assessed, AssessedTask } from "./machine/assess.ts";
import { refreshMachine } from "./machine/refresh.ts";
import type { Transaction } from "./ports.ts";
import type { Task } from "./records.ts";

/** What a caller says of a task; by which schedule it stands is not among it. */
export type TaskInput = Omit<
  Task,
  "id" | "version" | "createdAt" | "updatedAt" | "vehicleId" | "scheduleId" | "scheduleLine"
>;

/** A task as it stands after the change, and its machine. */
export interface ChangedTask {
  assessed: AssessedTask;
  machine: Assessed;
}

/** Adds a task to a machine's schedule and plans its reminders. */
export async function addTask(
  tx: Transaction,
  caller: Caller,
  vehicleId: string,
  input: TaskInput,
  deps: Deps,
): Promise<ChangedTask> {
  requireVehicle(caller, await tx.vehicles.find(vehicleId), "changeMachines");
  await tx.machine.lock(vehicleId);
  const now = await accountTime(tx, deps);
  const own = { vehicleId, scheduleId: null, scheduleLine: null };
  const task = await tx.tasks.insert({ ...fresh(deps, now), ...own, ...input });
  return afterChange(tx, task, deps, now);
}

export async function changeTask(
  tx: Transaction,
  caller: Caller,
  vehicleId: string,
  id: string,
  expected: ExpectedVersion,
  patch: (task: Task) => TaskInput,
  deps: Deps,
): Promise<ChangedTask> {
  requireVehicle(caller, await tx.vehicles.find(vehicleId), "changeMachines");
  await tx.machine.lock(vehicleId);
  const task = await findOfVehicle(tx.tasks, vehicleId, id, "task", expected);
  const input = patch(task);
  requireOwn(task, input);
  const now = await accountTime(tx, deps);
  const written = await tx.tasks.update(id, task.version, { ...input, updatedAt: now });
  return afterChange(tx, written, deps, now);
}

/** Takes a task off the schedule; the work that was logged for it stays in the history. */
export async function removeTask(
  tx: Transaction,
  caller: Caller,
  vehicleId: string,
  id: string,
  expected: ExpectedVersion,
  deps: Deps,
): Promise<void> {
  requireVehicle(caller, await tx.vehicles.find(vehicleId), "changeMachines");
  await tx.machine.lock(vehicleId);
  const task = await findOfVehicle(tx.tasks, vehicleId, id, "task", expected);
  if (task.scheduleId !== null) {
    throw sharedBy(
      task,
      "Pause it, take it out of the schedule, or set the vehicle's scheduleId to null first.",
    );
  }
  if (!(await tx.tasks.remove(id, task.version))) {
    throw new Refusal({ kind: "preconditionFailed", resource: "task" });
  }
  await noteChange(tx, task, deps, await accountTime(tx, deps));
}

/** What a task has of a shared schedule is changed there, so that it stays the same on all machines. */
function requireOwn(task: Task, input: TaskInput): void {
  if (task.scheduleId === null || isDeepStrictEqual(shared(input), shared(task))) return;
  throw sharedBy(
    task,
    "On the machine alone lastWork, paused and severe may be changed; change the rest in the schedule, or set the vehicle's scheduleId to null first.",
  );
}

function shared({ plan, ...fields }: TaskInput): Record<string, unknown> {
  const { title, lead, minutes, access, steps, tools, parts, fluids } = fields;
  const { cautions, closingChecks, points } = fields;
  const { paused: _paused, severe: _severe, ...ofAll } = plan;
  return {
    ...{
      title,
      lead,
      minutes,
      access,
      steps,
      tools,
      parts,
      fluids,
      cautions,
      closingChecks,
      points,
    },
    ...ofAll,
  };
}

function sharedBy({ scheduleId }: Task, what: string): Refusal {
  return new Refusal({
    kind: "conflict",
    detail: `This task stands here by the schedule ${scheduleId}. ${what}`,
  });
}

async function afterChange(
  tx: Transaction,
  task: Task,
  deps: Deps,
  now: number,
): Promise<ChangedTask> {
  await noteChange(tx, task, deps, now);
  const machine = await refreshMachine(tx, task.vehicleId, deps);
  const assessed = machine.tasks.find((one) => one.task.id === task.id);
  if (!assessed) throw new Error(`Task ${task.id} vanished in its own transaction.`);
  return { assessed, machine };
}

async function noteChange(tx: Transaction, task: Task, deps: Deps, now: number): Promise<void> {
  const subject = { resourceId: task.id, vehicleId: task.vehicleId };
  const event = eventOf(deps, now, "schedule.changed", subject, { taskId: task.id });
  await tx.machine.write({ events: [event] }, now);
}
