import { rightOf } from "../../application/caller.ts";
import { findOrRefuse } from "../../application/find-or-refuse.ts";
import type { Transaction } from "../../application/ports.ts";
import type { Message } from "../../application/records.ts";
import { redeliver } from "../../application/webhooks/endpoints.ts";
import { Refusal } from "../../domain/failure/failure.ts";
import type { Caller } from "../caller.ts";
import { exampleMessage, exampleWholeMessage } from "../example-mail.ts";
import { pageAnswer, pageAsked } from "../lists.ts";
import { shownMessage, shownWholeMessage } from "../present/mail.ts";
import { page } from "../schemas/common.ts";
import { message, messageList, messageParams, wholeMessage } from "../schemas/mail.ts";
import { defineRoute, inAccount, onceInAccount } from "../services.ts";
import { spanAsked } from "../span.ts";
import { visibleIds } from "../visible.ts";

/** A member who does not manage others reads only what was sent to them. */
function ownMail(caller: Caller): string | undefined {
  return rightOf(caller, "invite") === "no" ? caller.memberId : undefined;
}

/** A key that is bound to vehicles reads mail that speaks of these, and of nothing else. */
async function onlyVehicles(tx: Transaction, caller: Caller): Promise<string[] | undefined> {
  return caller.vehicleIds && visibleIds(tx, caller, undefined);
}

async function speaksOnlyOf(
  tx: Transaction,
  { reminderIds }: Message,
  vehicleIds: readonly string[],
): Promise<boolean> {
  for (const id of reminderIds) {
    const reminder = await tx.reminders.find(id);
    if (!reminder || !vehicleIds.includes(reminder.vehicleId)) return false;
  }
  return reminderIds.length > 0;
}

const list = defineRoute({
  operationId: "listMessages",
  method: "GET",
  path: "/v1/messages",
  tag: "Reminder",
  summary: "Emails and webhooks, and their delivery",
  description:
    "Messages, newest first, on (createdAt, id), without their bodies: waiting, sent, or failed with the mail server's own words; emails, and events on their way to webhook endpoints.",
  access: { scope: "read" },
  query: messageList,
  answers: {
    200: {
      description: "A page of messages.",
      schema: page(message, "MessagePage"),
      example: { items: [exampleMessage], nextCursor: null },
    },
  },
  async handle(call) {
    const { limit: _limit, cursor: _cursor, vehicleId, memberId, ...filter } = call.query;
    const own = ownMail(call.caller);
    return inAccount(call, async (tx) => {
      const only = await onlyVehicles(tx, call.caller);
      const vehicleIds =
        vehicleId === undefined ? only : await visibleIds(tx, call.caller, vehicleId);
      const about = { vehicleIds, onlyVehicleIds: only };
      const who = { memberId: own ?? memberId };
      const when = await spanAsked(tx, filter);
      const wanted = { ...filter, ...when, ...who, ...about };
      const found = await tx.messages.list(wanted, pageAsked(call));
      return pageAnswer(call, found, shownMessage);
    });
  },
});

const get = defineRoute({
  operationId: "getMessage",
  method: "GET",
  path: "/v1/messages/{messageId}",
  tag: "Reminder",
  summary: "One email, whole",
  description:
    "An email with headers, both bodies and attachments, as it was sent; in a sandbox, as it was captured.",
  access: { scope: "read" },
  versioned: true,
  params: messageParams,
  answers: {
    200: { description: "The message.", schema: wholeMessage, example: exampleWholeMessage },
  },
  async handle(call) {
    const found = await inAccount(call, async (tx) => {
      const one = await findOrRefuse(tx.messages, call.params.messageId, "message");
      const own = ownMail(call.caller);
      const only = await onlyVehicles(tx, call.caller);
      const open = only === undefined || (await speaksOnlyOf(tx, one, only));
      if (!open || (own !== undefined && one.memberId !== own)) {
        throw new Refusal({ kind: "notFound", resource: "message" });
      }
      return one;
    });
    return { status: 200, body: shownWholeMessage(found), version: found.version };
  },
});

const again = defineRoute({
  operationId: "redeliverMessage",
  method: "POST",
  path: "/v1/messages/{messageId}/redeliver",
  tag: "Webhook endpoint",
  summary: "Deliver one event again",
  description:
    "A webhook's delivery is tried again from the beginning, also one that was taken, under the `webhook-id` that it had. An email is not sent twice.",
  access: { scope: "admin" },
  creates: "folded",
  versioned: true,
  params: messageParams,
  problems: ["conflict"],
  answers: {
    200: { description: "The delivery.", schema: message, example: exampleMessage },
  },
  handle: (call) =>
    onceInAccount(call, async (tx) => {
      const sent = await redeliver(tx, call.caller, call.params.messageId, call.deps);
      return { status: 200, body: shownMessage(sent), version: sent.version };
    }),
});

export const messageRoutes = [list, get, again];
