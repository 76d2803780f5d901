import { requireRight } from "../../application/caller.ts";
import type { WebhookEndpoint } from "../../application/records.ts";
import {
  addEndpoint,
  changeEndpoint,
  findEndpoint,
  redeliverFailed,
  removeEndpoint,
  rotateSecret,
  sendTestEvent,
} from "../../application/webhooks/endpoints.ts";
import { requireTarget } from "../../application/webhooks/target.ts";
import { exampleMessage } from "../example-mail.ts";
import { EXAMPLE, exampleStored } from "../examples.ts";
import { pageAnswer, pageAsked } from "../lists.ts";
import { applyPatch, patchOf } from "../patch-body.ts";
import { shownMessage } from "../present/mail.ts";
import { openedEndpoint as opened, shownEndpoint } from "../present/webhook.ts";
import { page } from "../schemas/common.ts";
import { message } from "../schemas/mail.ts";
import {
  endpoint,
  endpointBody,
  endpointChange,
  endpointList,
  openedEndpoint,
  endpointParams as params,
  redeliverBody,
  redelivered,
  rotation,
} from "../schemas/webhook.ts";
import { defineRoute, inAccount, onceInAccount } from "../services.ts";

const tag = "Webhook endpoint";
const access = { scope: "admin" } as const;
const example = {
  ...exampleStored,
  url: "https://fleet.example.org/hooks/forewheel",
  description: "The fleet's own dashboard",
  eventTypes: ["task.ahead", "task.due"],
  disabledAt: null,
  disabledWhy: null,
  overlapEndsAt: null,
};
const shown = { description: "The endpoint.", schema: endpoint, example };
const made = {
  description: "The endpoint with its secret, shown this once.",
  schema: openedEndpoint,
  example: { ...example, secret: "whsec_c2hvd24tdGhpcy1vbmNlLWFuZC1uZXZlci1hZ2Fpbg==" },
};

const post = defineRoute({
  operationId: "addWebhookEndpoint",
  method: "POST",
  path: "/v1/webhook-endpoints",
  tag,
  summary: "Be told of events",
  description:
    "Events from now on are posted to the address, each at least once, signed by Standard Webhooks 1.0.0 with the secret shown here. What does not answer 200 to 299 within 15 seconds is tried again after 5 s, 5 min, 30 min, 2 h, 5 h, 10 h, 14 h, 20 h and 24 h; 410 disables the endpoint. Redirects are not followed. Whatever was missed stands in `/v1/events`.",
  access,
  creates: "folded",
  secretFields: ["/secret"],
  versioned: true,
  body: endpointBody,
  examples: {
    body: {
      url: example.url,
      description: example.description,
      eventTypes: example.eventTypes,
    },
  },
  answers: { 201: made },
  async handle(call) {
    requireTarget(call.body.url, call.deps.webhookAllowPrivate);
    return onceInAccount(call, async (tx) => {
      const added = await addEndpoint(tx, call.caller, call.body, call.deps);
      return {
        status: 201,
        location: `/v1/webhook-endpoints/${added.id}`,
        body: opened(added, call.deps.webhookSecrets),
        version: added.version,
      };
    });
  },
});

const list = defineRoute({
  operationId: "listWebhookEndpoints",
  method: "GET",
  path: "/v1/webhook-endpoints",
  tag,
  summary: "List webhook endpoints",
  description: "Endpoints without their secrets, newest first, on (createdAt, id).",
  access,
  query: endpointList,
  answers: {
    200: {
      description: "A page of endpoints.",
      schema: page(endpoint, "WebhookEndpointPage"),
      example: { items: [example], nextCursor: null },
    },
  },
  async handle(call) {
    requireRight(call.caller, "administer");
    const { updatedAfter } = call.query;
    const found = await inAccount(call, (tx) =>
      tx.webhookEndpoints.list({ updatedAfter }, pageAsked(call)),
    );
    return pageAnswer(call, found, shownEndpoint);
  },
});

const get = defineRoute({
  operationId: "getWebhookEndpoint",
  method: "GET",
  path: "/v1/webhook-endpoints/{endpointId}",
  tag,
  summary: "One webhook endpoint",
  description: "An endpoint without its secret. Its deliveries are in `/v1/messages?endpointId=`.",
  access,
  versioned: true,
  params,
  answers: { 200: shown },
  async handle(call) {
    const found = await inAccount(call, (tx) =>
      findEndpoint(tx, call.caller, call.params.endpointId),
    );
    return { status: 200, body: shownEndpoint(found), version: found.version };
  },
});

const patch = defineRoute({
  operationId: "changeWebhookEndpoint",
  method: "PATCH",
  path: "/v1/webhook-endpoints/{endpointId}",
  tag,
  summary: "Change a webhook endpoint",
  description:
    "Changes address, description or types of event by a merge patch (RFC 7396). `disabled` stops it, or lets it go on with what happens from then on.",
  access,
  versioned: true,
  params,
  body: patchOf(endpointChange),
  examples: { body: { disabled: false } },
  answers: { 200: shown },
  async handle({ body, params: path, ifMatch, caller, deps, ...call }) {
    const changed = (found: WebhookEndpoint) => {
      const { url, description, eventTypes, disabledAt } = found;
      const current = { url, description, eventTypes, disabled: disabledAt !== null };
      const next = applyPatch(endpointChange, current, body);
      if (next.url !== url) requireTarget(next.url, deps.webhookAllowPrivate);
      return next;
    };
    const written = await inAccount({ ...call, caller, deps }, (tx) =>
      changeEndpoint(tx, caller, path.endpointId, ifMatch, changed, deps),
    );
    return { status: 200, body: shownEndpoint(written), version: written.version };
  },
});

const remove = defineRoute({
  operationId: "removeWebhookEndpoint",
  method: "DELETE",
  path: "/v1/webhook-endpoints/{endpointId}",
  tag,
  summary: "Remove a webhook endpoint",
  description: "Nothing is posted to it any more; its deliveries go with it.",
  access,
  versioned: true,
  params,
  answers: { 204: { description: "Removed." } },
  async handle(call) {
    await inAccount(call, (tx) =>
      removeEndpoint(tx, call.caller, call.params.endpointId, call.ifMatch, call.deps),
    );
    return { status: 204 };
  },
});

const rotate = defineRoute({
  operationId: "rotateWebhookSecret",
  method: "POST",
  path: "/v1/webhook-endpoints/{endpointId}/rotate-secret",
  tag,
  summary: "Give a webhook endpoint a new secret",
  description:
    "For `overlapMinutes` deliveries carry two signatures, of the new secret and of the one before, so that a receiver can change over without a gap.",
  access,
  creates: "folded",
  secretFields: ["/secret"],
  versioned: true,
  params,
  body: rotation,
  examples: { body: { overlapMinutes: 60 } },
  answers: { 200: made },
  handle: (call) =>
    onceInAccount(call, async (tx) => {
      const overlap = call.body.overlapMinutes * 60_000;
      const { caller, deps, params: path } = call;
      const rotated = await rotateSecret(tx, caller, path.endpointId, overlap, deps);
      const body = opened(rotated, deps.webhookSecrets);
      return { status: 200, body, version: rotated.version };
    }),
});

const tryOut = defineRoute({
  operationId: "testWebhookEndpoint",
  method: "POST",
  path: "/v1/webhook-endpoints/{endpointId}/test",
  tag,
  summary: "Try a webhook endpoint",
  description:
    "Posts it a `webhook.test`, signed like any other, which stands in no log. The answer is the delivery to look after. In a sandbox it is made when the clock is moved, if only to the time that it shows.",
  access,
  creates: "folded",
  versioned: true,
  params,
  problems: ["conflict"],
  answers: {
    201: {
      description: "The delivery.",
      schema: message,
      example: { ...exampleMessage, ...delivery() },
    },
  },
  handle: (call) =>
    onceInAccount(call, async (tx) => {
      const sent = await sendTestEvent(tx, call.caller, call.params.endpointId, call.deps);
      const location = `/v1/messages/${sent.id}`;
      return { status: 201, location, body: shownMessage(sent), version: sent.version };
    }),
});

const again = defineRoute({
  operationId: "redeliverFailedWebhooks",
  method: "POST",
  path: "/v1/webhook-endpoints/{endpointId}/redeliver",
  tag,
  summary: "Deliver again what failed",
  description:
    "Deliveries to this endpoint that failed since the instant are tried again from the beginning, each under the `webhook-id` that it had.",
  access,
  creates: "folded",
  params,
  body: redeliverBody,
  examples: { body: { since: EXAMPLE.at } },
  problems: ["conflict"],
  answers: {
    200: { description: "How many.", schema: redelivered, example: { count: 3 } },
  },
  handle: (call) =>
    onceInAccount(call, async (tx) => {
      const { caller, deps, params: path, body } = call;
      const count = await redeliverFailed(tx, caller, path.endpointId, body.since, deps);
      return { status: 200, body: { count } };
    }),
});

/** What tells a delivery from an email, for examples. */
function delivery() {
  return {
    memberId: null,
    endpointId: EXAMPLE.id,
    kind: "webhook",
    subject: "webhook.test",
    status: "waiting",
    attempts: 0,
    nextAttemptAt: EXAMPLE.at,
    lastAnswer: null,
    messageIdHeader: EXAMPLE.id,
    address: null,
    sentAt: null,
    reminders: [],
  };
}

export const webhookEndpointRoutes = [post, list, get, patch, remove, rotate, tryOut, again];
