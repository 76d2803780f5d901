import { requireRight } from "../../application/caller.ts";
import { findOrRefuse } from "../../application/find-or-refuse.ts";
import type { Schedule } from "../../application/records.ts";
import {
  addSchedule,
  changeSchedule,
  putScheduleOn,
  removeSchedule,
} from "../../application/schedules/schedules.ts";
import { exampleTask, exampleTaskBody } from "../example-task.ts";
import { EXAMPLE, exampleStored } from "../examples.ts";
import { pageAnswer, pageAsked } from "../lists.ts";
import { applyPatch, patchOf } from "../patch-body.ts";
import { shownSchedule, writableSchedule } from "../present/schedule.ts";
import { scheduleInputOf } from "../schedule-input.ts";
import {
  putOn,
  putOnBody,
  schedule,
  scheduleBody,
  scheduleList,
  schedulePage,
  scheduleParams,
} from "../schemas/schedule.ts";
import { defineRoute, inAccount, onceInAccount } from "../services.ts";

const { lastWork: _lastWork, ...exampleLineBody } = exampleTaskBody;
const exampleLine = {
  ...exampleLineBody,
  ...{ id: EXAMPLE.taskId, kind: "recurring", on: null, whichever: "first" },
  ...{ repeatFrom: "completion", countsFrom: "work", early: null, late: null, lead: null },
  ...{ minutes: null, access: [], steps: [], parts: [], fluids: [], closingChecks: [] },
  points: exampleTask.points,
};
const exampleSchedule = {
  ...exampleStored,
  name: "Single 150, 2025 on",
  notes: "Invented figures; the handbook prevails.",
  externalId: "single-150",
  tasks: [exampleLine],
};

const shown = { description: "The schedule.", schema: schedule, example: exampleSchedule };

const post = defineRoute({
  operationId: "addSchedule",
  method: "POST",
  path: "/v1/schedules",
  tag: "Schedule",
  summary: "Add a schedule",
  description:
    "Adds tasks that many machines share. It stands on a machine once it is put on it, or the machine's `scheduleId` names it. The same externalId with the same content answers 200 with the schedule that is there.",
  access: { scope: "write" },
  creates: "folded",
  versioned: true,
  body: scheduleBody,
  examples: { body: { name: exampleSchedule.name, tasks: [exampleLineBody] } },
  problems: ["conflict"],
  answers: { 201: shown, 200: { ...shown, description: "The schedule that was there already." } },
  async handle(call) {
    const { caller, deps, body } = call;
    return onceInAccount(call, async (tx) => {
      const inputOf = (before: Schedule | null) => scheduleInputOf(body, before, deps.ids);
      const { schedule: added, isNew } = await addSchedule(
        tx,
        caller,
        body.externalId,
        inputOf,
        deps,
      );
      return {
        status: isNew ? 201 : 200,
        location: `/v1/schedules/${added.id}`,
        body: shownSchedule(added),
        version: added.version,
      };
    });
  },
});

const list = defineRoute({
  operationId: "listSchedules",
  method: "GET",
  path: "/v1/schedules",
  tag: "Schedule",
  summary: "List schedules",
  description: "The account's shared schedules, newest first, on (createdAt, id).",
  access: { scope: "read" },
  query: scheduleList,
  answers: {
    200: {
      description: "A page of schedules.",
      schema: schedulePage,
      example: { items: [exampleSchedule], nextCursor: null },
    },
  },
  async handle(call) {
    requireRight(call.caller, "readMachines");
    const { externalId, updatedAfter } = call.query;
    const filter = { externalId, updatedAfter };
    const found = await inAccount(call, (tx) => tx.schedules.list(filter, pageAsked(call)));
    return pageAnswer(call, found, shownSchedule);
  },
});

const get = defineRoute({
  operationId: "getSchedule",
  method: "GET",
  path: "/v1/schedules/{scheduleId}",
  tag: "Schedule",
  summary: "One schedule",
  description: "A shared schedule with its tasks, in the order in which they were written.",
  access: { scope: "read" },
  versioned: true,
  params: scheduleParams,
  answers: { 200: shown },
  async handle(call) {
    requireRight(call.caller, "readMachines");
    const found = await inAccount(call, (tx) =>
      findOrRefuse(tx.schedules, call.params.scheduleId, "schedule"),
    );
    return { status: 200, body: shownSchedule(found), version: found.version };
  },
});

const patch = defineRoute({
  operationId: "changeSchedule",
  method: "PATCH",
  path: "/v1/schedules/{scheduleId}",
  tag: "Schedule",
  summary: "Change a schedule",
  description:
    "Changes a schedule by a merge patch (RFC 7396), and with it the tasks of every machine on which it stands, whose reminders are planned anew within seconds. `tasks` is replaced as a whole: a task keeps its place on the machines by its `id` or else by its title; one that is left out is taken off them, and what was logged for it stays in the history.",
  access: { scope: "write" },
  versioned: true,
  params: scheduleParams,
  body: patchOf(scheduleBody),
  examples: { body: { notes: "From the handbook's second edition." } },
  problems: ["conflict"],
  answers: { 200: shown },
  async handle(call) {
    const { params, caller, deps, ifMatch, body } = call;
    const change = (now: Schedule) => {
      const whole = applyPatch(
        scheduleBody,
        JSON.parse(JSON.stringify(writableSchedule(now))),
        body,
      );
      return scheduleInputOf(whole, now, deps.ids);
    };
    const written = await inAccount(call, (tx) =>
      changeSchedule(tx, caller, params.scheduleId, ifMatch, change, deps),
    );
    return { status: 200, body: shownSchedule(written), version: written.version };
  },
});

const remove = defineRoute({
  operationId: "removeSchedule",
  method: "DELETE",
  path: "/v1/schedules/{scheduleId}",
  tag: "Schedule",
  summary: "Remove a schedule",
  description: "Removes a schedule that stands on no machine.",
  access: { scope: "write" },
  versioned: true,
  params: scheduleParams,
  problems: ["conflict"],
  answers: { 204: { description: "Removed." } },
  async handle(call) {
    await inAccount(call, (tx) =>
      removeSchedule(tx, call.caller, call.params.scheduleId, call.ifMatch, call.deps),
    );
    return { status: 204 };
  },
});

const put = defineRoute({
  operationId: "putScheduleOn",
  method: "POST",
  path: "/v1/schedules/{scheduleId}/put-on",
  tag: "Schedule",
  summary: "Put a schedule on many vehicles",
  description:
    "Makes the schedule's tasks stand on up to 1,000 machines, in place of the schedule that stood there before; all of them or none. A task of the machine with the same title takes over what the schedule says, so that its last work counts on. Reminders are planned within seconds.",
  access: { scope: "write" },
  creates: "folded",
  params: scheduleParams,
  body: putOnBody,
  examples: { body: { vehicleIds: [EXAMPLE.vehicleId], lastWork: "never" } },
  answers: {
    200: {
      description: "What became of the tasks.",
      schema: putOn,
      example: { vehicles: 1, tasksAdded: 1, tasksKept: 0, tasksRemoved: 0 },
    },
  },
  async handle(call) {
    const { params, caller, deps, body } = call;
    const { vehicleIds, lastWork } = body;
    return onceInAccount(call, async (tx) => ({
      status: 200,
      body: await putScheduleOn(tx, caller, params.scheduleId, vehicleIds, lastWork, deps),
    }));
  },
});

export const scheduleRoutes = [post, list, get, patch, remove, put];
