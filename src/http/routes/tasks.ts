import { requireVehicle } from "../../application/caller.ts";
import {
  type Assessed,
  type AssessedTask,
  assess,
  timeOf,
} from "../../application/machine/assess.ts";
import type { PageOf, PageRequest, Position, Transaction } from "../../application/ports.ts";
import type { Task } from "../../application/records.ts";
import { addTask, changeTask, removeTask } from "../../application/tasks.ts";
import { Refusal } from "../../domain/failure/failure.ts";
import type { Caller } from "../caller.ts";
import { exampleTask, exampleTaskBody } from "../example-task.ts";
import { pageAnswer, pageAsked } from "../lists.ts";
import { applyPatch, patchOf } from "../patch-body.ts";
import { shownTask, writableTask } from "../present/task.ts";
import { page } from "../schemas/common.ts";
import { task, taskBody, taskList, taskParams } from "../schemas/task.ts";
import { vehicleParams } from "../schemas/vehicle.ts";
import { defineRoute, inAccount, onceInAccount, type Services } from "../services.ts";
import { taskInputOf } from "../task-input.ts";

const shown = { description: "The task as it stands.", schema: task, example: exampleTask };

/** The machine as it stands now; a hidden one is told like a missing one. */
export async function assessedMachine(
  tx: Transaction,
  caller: Caller,
  vehicleId: string,
  deps: Services,
): Promise<Assessed> {
  const machine = await tx.machine.load(vehicleId, false);
  requireVehicle(caller, machine?.vehicle);
  if (!machine) throw new Refusal({ kind: "notFound", resource: "vehicle" });
  return assess(machine, timeOf(machine, deps.clock()));
}

const post = defineRoute({
  operationId: "addTask",
  method: "POST",
  path: "/v1/vehicles/{vehicleId}/tasks",
  tag: "Task",
  summary: "Add a task to a machine's schedule",
  description:
    "Adds a task with its interval, measuring points and what a person needs at the machine, and plans its reminders. Without `lastWork` its state is `unknown`, and no reminder comes before it is told.",
  access: { scope: "write" },
  creates: "folded",
  versioned: "moving",
  params: vehicleParams,
  body: taskBody,
  examples: { body: exampleTaskBody },
  answers: { 201: shown },
  async handle(call) {
    const { params, caller, deps, body } = call;
    return onceInAccount(call, async (tx) => {
      const input = taskInputOf(body, null, deps.ids);
      const { assessed, machine } = await addTask(tx, caller, params.vehicleId, input, deps);
      return {
        status: 201,
        location: `/v1/vehicles/${params.vehicleId}/tasks/${assessed.task.id}`,
        body: shownTask(assessed, machine),
        version: assessed.task.version,
      };
    });
  },
});

const list = defineRoute({
  operationId: "listTasks",
  method: "GET",
  path: "/v1/vehicles/{vehicleId}/tasks",
  tag: "Task",
  summary: "The tasks of a machine, as they stand",
  description:
    "Tasks in force, newest first, on (createdAt, id), each with its due point, forecast and state.",
  access: { scope: "read" },
  params: vehicleParams,
  query: taskList,
  answers: {
    200: {
      description: "A page of tasks.",
      schema: page(task, "TaskPage"),
      example: { items: [exampleTask], nextCursor: null },
    },
  },
  async handle(call) {
    const { params, caller, deps, query } = call;
    return inAccount(call, async (tx) => {
      const assessed = await assessedMachine(tx, caller, params.vehicleId, deps);
      const found = pageOfTasks(assessed.tasks, query, pageAsked(call));
      return pageAnswer(call, found, (one) => shownTask(one, assessed));
    });
  },
});

/** A page of tasks that are all at hand, by the same order and keyset as the lists of the database. */
function pageOfTasks(
  tasks: readonly AssessedTask[],
  {
    state,
    updatedAfter = Number.NEGATIVE_INFINITY,
  }: { state?: string | undefined; updatedAfter?: number | undefined },
  { limit, after }: PageRequest,
): PageOf<AssessedTask> {
  const wanted = tasks
    .filter(({ judged }) => state === undefined || judged.state === state)
    .filter(({ task }) => task.updatedAt > updatedAfter)
    .toSorted((a, b) => b.task.createdAt - a.task.createdAt || (a.task.id < b.task.id ? 1 : -1))
    .filter(({ task }) => after === null || isBeyond(task, after));
  const items = wanted.slice(0, limit);
  const last = items.at(-1)?.task;
  const next = last && wanted.length > limit ? { key: last.createdAt, id: last.id } : null;
  return { items, next };
}

function isBeyond({ createdAt, id }: Task, after: Position): boolean {
  const key = Number(after.key);
  return createdAt < key || (createdAt === key && id < after.id);
}

const get = defineRoute({
  operationId: "getTask",
  method: "GET",
  path: "/v1/vehicles/{vehicleId}/tasks/{taskId}",
  tag: "Task",
  summary: "One task, as it stands",
  description: "One task. Its state moves with the clock, so it is always answered whole.",
  access: { scope: "read" },
  versioned: "moving",
  params: taskParams,
  answers: { 200: shown },
  async handle(call) {
    const { params, caller, deps } = call;
    return inAccount(call, async (tx) => {
      const assessed = await assessedMachine(tx, caller, params.vehicleId, deps);
      const one = assessed.tasks.find(({ task: { id } }) => id === params.taskId);
      if (!one) throw new Refusal({ kind: "notFound", resource: "task" });
      return { status: 200, body: shownTask(one, assessed), version: one.task.version };
    });
  },
});

const patch = defineRoute({
  operationId: "changeTask",
  method: "PATCH",
  path: "/v1/vehicles/{vehicleId}/tasks/{taskId}",
  tag: "Task",
  summary: "Change a task",
  description:
    "Changes a task by a merge patch (RFC 7396) and plans its reminders anew. Measuring points keep their ids by id or by name. Of a task that stands here by a schedule only lastWork, paused and severe may be changed here.",
  access: { scope: "write" },
  versioned: "moving",
  params: taskParams,
  body: patchOf(taskBody),
  examples: { body: { every: { distance: { km: 6000, mi: 4000 }, months: 12 } } },
  problems: ["conflict"],
  answers: { 200: shown },
  async handle(call) {
    const { params, caller, deps, ifMatch, body } = call;
    return inAccount(call, async (tx) => {
      const { vehicleId, taskId } = params;
      const change = (now: Task) => {
        const whole = applyPatch(taskBody, JSON.parse(JSON.stringify(writableTask(now))), body);
        return taskInputOf(whole, now, deps.ids);
      };
      const changed = await changeTask(tx, caller, vehicleId, taskId, ifMatch, change, deps);
      const { assessed, machine } = changed;
      return { status: 200, body: shownTask(assessed, machine), version: assessed.task.version };
    });
  },
});

const remove = defineRoute({
  operationId: "removeTask",
  method: "DELETE",
  path: "/v1/vehicles/{vehicleId}/tasks/{taskId}",
  tag: "Task",
  summary: "Take a task off the schedule",
  description: "Removes the task and its reminders. The work logged for it stays in the history.",
  access: { scope: "write" },
  versioned: "moving",
  params: taskParams,
  problems: ["conflict"],
  answers: { 204: { description: "Removed." } },
  async handle(call) {
    const { params, caller, deps, ifMatch } = call;
    await inAccount(call, (tx) =>
      removeTask(tx, caller, params.vehicleId, params.taskId, ifMatch, deps),
    );
    return { status: 204 };
  },
});

export const taskRoutes = [post, list, get, patch, remove];
