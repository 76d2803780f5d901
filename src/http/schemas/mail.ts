import { z } from "zod";
import { EVENT_TYPES, type EventTypeName } from "../../application/event-types.ts";
import { id, pageQuery, span, text, updatedAfter } from "./common.ts";
import { stored } from "./people.ts";
import { instant, plainDate } from "./time.ts";

const stage = z.enum(["ahead", "due", "overdue", "ask"]);
const reminderStatus = z.enum(["planned", "sent", "cancelled", "deferred", "failed"]);
const messageStatus = z.enum(["waiting", "sending", "sent", "failed", "unknown", "suppressed"]);

export const reminder = z
  .strictObject({
    ...stored,
    vehicleId: id,
    taskId: id
      .nullable()
      .meta({ description: "null: a request for a reading, of the vehicle alone." }),
    memberId: id,
    occurrence: z.string().meta({ description: "The due point that it speaks of; opaque." }),
    revision: z.int(),
    stage,
    plannedFor: instant,
    status: reminderStatus,
    why: z
      .looseObject({ by: z.string(), sentence: z.string() })
      .meta({ description: "What makes it speak then, or what ended it." }),
    deferredUntilOn: plainDate.nullable(),
    deferredUntilDistance: z.number().nullable(),
    messageId: id.nullable(),
    sentAt: instant.nullable(),
  })
  .meta({ id: "Reminder", description: "One planned moment of a member, task and due point." });

export const reminderParams = z.strictObject({ reminderId: id });

export const reminderList = pageQuery.extend({
  vehicleId: id.optional(),
  taskId: id.optional(),
  memberId: id.optional(),
  status: reminderStatus.optional(),
  stage: stage.optional(),
  ...span,
  updatedAfter,
});

export const deferBody = z
  .strictObject({
    untilOn: plainDate.optional(),
    untilDistance: z.number().positive().max(10_000_000).optional().meta({
      description: "What the machine has run in all, in its meter's unit.",
    }),
  })
  .refine(
    ({ untilOn, untilDistance }) => (untilOn === undefined) !== (untilDistance === undefined),
    "must have exactly one of untilOn and untilDistance",
  )
  .meta({ id: "Deferral" });

export const cancelBody = z
  .strictObject({ reason: text(2000).nullable().default(null) })
  .meta({ id: "Cancellation" });

const messageKind = z.enum([
  "reminder",
  "digest",
  "confirmAddress",
  "freshLink",
  "notice",
  "webhook",
]);

export const message = z
  .strictObject({
    ...stored,
    memberId: id.nullable(),
    endpointId: id.nullable().meta({ description: "The endpoint of a webhook's delivery." }),
    kind: messageKind,
    subject: z.string().nullable(),
    status: messageStatus.meta({ description: "In a sandbox, sent means captured." }),
    attempts: z.int(),
    nextAttemptAt: instant.nullable(),
    lastAnswer: z
      .string()
      .nullable()
      .meta({ description: "The mail server's own words, or the endpoint's." }),
    messageIdHeader: z
      .string()
      .meta({ description: "The Message-ID, or webhook-id: the same over all attempts." }),
    address: z.string().nullable(),
    sentAt: instant.nullable(),
    reminders: z.array(id),
  })
  .meta({
    id: "Message",
    description: "One email, or one event for an endpoint, and its delivery.",
  });

export const wholeMessage = message
  .extend({
    headers: z.record(z.string(), z.string()),
    text: z.string().nullable(),
    html: z.string().nullable(),
    attachments: z.array(
      z.strictObject({ filename: z.string(), contentType: z.string(), content: z.string() }),
    ),
  })
  .meta({ id: "WholeMessage" });

export const messageParams = z.strictObject({ messageId: id });

export const messageList = pageQuery.extend({
  memberId: id.optional(),
  vehicleId: id.optional(),
  kind: messageKind.optional(),
  endpointId: id.optional(),
  status: messageStatus.optional(),
  ...span,
  updatedAfter,
});

export const event = z
  .strictObject({
    id,
    type: z.string(),
    vehicleId: id.nullable(),
    resourceId: id,
    data: z.record(z.string(), z.unknown()),
    at: instant,
  })
  .meta({ id: "Event", description: "One thing that changed." });

export const EVENT_TYPE_NAMES = Object.keys(EVENT_TYPES) as [EventTypeName, ...EventTypeName[]];

/** A filter by a type that there is not would wait for ever; in the description it is any text, as it always was. */
const eventType = text(100)
  .refine(
    (name) => Object.hasOwn(EVENT_TYPES, name),
    `must be one of ${EVENT_TYPE_NAMES.join(", ")}`,
  )
  .meta({ description: "One of the types of event.", example: "task.due" });

export const eventList = pageQuery.extend({
  type: eventType.optional(),
  vehicleId: id.optional(),
  start: z.enum(["beginning", "end"]).default("beginning").meta({
    description:
      "Where a follower without a cursor begins; at the end of the log it gets no items, and the cursor to follow from.",
  }),
});

/** A follower always gets a place to go on from, also when nothing is left to read now. */
export const eventPage = z
  .strictObject({
    items: z.array(event),
    nextCursor: z.string().meta({
      description: "Where to go on; always there, also when nothing is left to read.",
    }),
    more: z.boolean().meta({ description: "Whether more is there already." }),
  })
  .meta({ id: "EventPage" });
