import { requireRight } from "../../application/caller.ts";
import {
  cancelReminder,
  type DeferUntil,
  deferReminder,
  findReminder,
} from "../../application/reminders.ts";
import { exampleReminder } from "../example-mail.ts";
import { pageAnswer, pageAsked } from "../lists.ts";
import { shownReminder } from "../present/mail.ts";
import { page } from "../schemas/common.ts";
import { cancelBody, deferBody, reminder, reminderList, reminderParams } from "../schemas/mail.ts";
import { defineRoute, inAccount, onceInAccount } from "../services.ts";
import { spanAsked } from "../span.ts";
import { visibleIds } from "../visible.ts";

const shown = { description: "The reminder.", schema: reminder, example: exampleReminder };

const list = defineRoute({
  operationId: "listReminders",
  method: "GET",
  path: "/v1/reminders",
  tag: "Reminder",
  summary: "Reminders planned, sent and ended",
  description:
    "Reminders of the machines that the key sees, latest planned first, on (plannedFor, id), each with why it speaks then or what ended it.",
  access: { scope: "read" },
  query: reminderList,
  answers: {
    200: {
      description: "A page of reminders.",
      schema: page(reminder, "ReminderPage"),
      example: { items: [exampleReminder], nextCursor: null },
    },
  },
  async handle(call) {
    const { limit: _limit, cursor: _cursor, vehicleId, ...filter } = call.query;
    return inAccount(call, async (tx) => {
      const vehicleIds = await visibleIds(tx, call.caller, vehicleId);
      const span = await spanAsked(tx, filter);
      const found = await tx.reminders.list({ ...filter, ...span, vehicleIds }, pageAsked(call));
      return pageAnswer(call, found, shownReminder);
    });
  },
});

const get = defineRoute({
  operationId: "getReminder",
  method: "GET",
  path: "/v1/reminders/{reminderId}",
  tag: "Reminder",
  summary: "One reminder",
  description: "One reminder, and what became of it.",
  access: { scope: "read" },
  versioned: true,
  params: reminderParams,
  answers: { 200: shown },
  async handle(call) {
    const found = await inAccount(call, (tx) =>
      findReminder(tx, call.caller, call.params.reminderId),
    );
    return { status: 200, body: shownReminder(found), version: found.version };
  },
});

const defer = defineRoute({
  operationId: "deferReminder",
  method: "POST",
  path: "/v1/reminders/{reminderId}/defer",
  tag: "Reminder",
  summary: "Put a reminder off",
  description:
    "Says nothing of this due point until a date or a distance; then the furthest stage that is reached speaks.",
  access: { scope: "write" },
  creates: "folded",
  versioned: true,
  params: reminderParams,
  body: deferBody,
  examples: { body: { untilOn: "2026-06-01" } },
  problems: ["conflict"],
  answers: { 200: shown },
  async handle(call) {
    const { params, caller, deps, body } = call;
    requireRight(caller, "postReadings");
    return onceInAccount(call, async (tx) => {
      const done = await deferReminder(tx, caller, params.reminderId, body as DeferUntil, deps);
      return { status: 200, body: shownReminder(done), version: done.version };
    });
  },
});

const cancel = defineRoute({
  operationId: "cancelReminder",
  method: "POST",
  path: "/v1/reminders/{reminderId}/cancel",
  tag: "Reminder",
  summary: "Cancel a reminder",
  description:
    "This stage of this due point stays silent for good; the next due point speaks again.",
  access: { scope: "write" },
  creates: "folded",
  versioned: true,
  params: reminderParams,
  body: cancelBody,
  examples: { body: { reason: "Sold next week." } },
  problems: ["conflict"],
  answers: { 200: shown },
  async handle(call) {
    const { params, caller, deps, body } = call;
    requireRight(caller, "postReadings");
    return onceInAccount(call, async (tx) => {
      const done = await cancelReminder(tx, caller, params.reminderId, body.reason, deps);
      return { status: 200, body: shownReminder(done), version: done.version };
    });
  },
});

export const reminderRoutes = [list, get, defer, cancel];
