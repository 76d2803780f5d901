import { rightOf } from "../../application/caller.ts";
import { findOrRefuse } from "../../application/find-or-refuse.ts";
import { Refusal } from "../../domain/failure/failure.ts";
import type { Caller } from "../caller.ts";
import { exampleMessage, exampleWholeMessage } from "../example-mail.ts";
import { pageAnswer, pageAsked } from "../lists.ts";
import { shownMessage, shownWholeMessage } from "../present/mail.ts";
import { page } from "../schemas/common.ts";
import { message, messageList, messageParams, wholeMessage } from "../schemas/mail.ts";
import { defineRoute, inAccount } from "../services.ts";
import { visibleIds } from "../visible.ts";

/** A member who does not manage others reads only what was sent to them. */
function ownMail(caller: Caller): string | undefined {
  return rightOf(caller, "invite") === "no" ? caller.memberId : undefined;
}

const list = defineRoute({
  operationId: "listMessages",
  method: "GET",
  path: "/v1/messages",
  tag: "Reminder",
  summary: "Emails and their delivery",
  description:
    "Messages, newest first, on (createdAt, id), without their bodies: waiting, sent, or failed with the mail server's own words.",
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
      // Mail that speaks of no machine belongs to keys that are bound to none.
      const bound = call.caller.vehicleIds !== undefined || vehicleId !== undefined;
      const vehicleIds = bound ? await visibleIds(tx, call.caller, vehicleId) : undefined;
      const who = { memberId: own ?? memberId };
      const found = await tx.messages.list({ ...filter, ...who, vehicleIds }, pageAsked(call));
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
      const ids = await visibleIds(tx, call.caller, undefined);
      const about = await Promise.all(one.reminderIds.map((id) => tx.reminders.find(id)));
      const bound = call.caller.vehicleIds !== undefined;
      const hidden =
        bound && !about.some((reminder) => reminder && ids?.includes(reminder.vehicleId));
      if (hidden || (own !== undefined && one.memberId !== own)) {
        throw new Refusal({ kind: "notFound", resource: "message" });
      }
      return one;
    });
    return { status: 200, body: shownWholeMessage(found), version: found.version };
  },
});

export const messageRoutes = [list, get];
