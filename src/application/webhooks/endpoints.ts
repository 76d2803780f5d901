import type { Instant } from "../../domain/calendar/plain-date.ts";
import { type ExpectedVersion, requireVersion } from "../../domain/failure/expected-version.ts";
import { Refusal } from "../../domain/failure/failure.ts";
import { type Caller, requireRight } from "../caller.ts";
import { accountTime, type Deps, eventOf, fresh } from "../deps.ts";
import { findOrRefuse } from "../find-or-refuse.ts";
import type { Transaction } from "../ports.ts";
import type { Message, WebhookEndpoint } from "../records.ts";
import { anew, deliveryOf } from "./delivery.ts";

const RESOURCE = "webhook endpoint";

export interface EndpointInput {
  url: string;
  description: string | null;
  eventTypes: string[];
}

/** Adds an endpoint; it is told of what happens from now on. */
export async function addEndpoint(
  tx: Transaction,
  caller: Caller,
  input: EndpointInput,
  deps: Deps,
): Promise<WebhookEndpoint> {
  requireRight(caller, "administer");
  const now = await accountTime(tx, deps);
  const enabled = { secretNumber: 1, overlapEndsAt: null, disabledAt: null, disabledWhy: null };
  const added = await tx.webhookEndpoints.insert({ ...fresh(deps, now), ...input, ...enabled });
  await logChange(tx, "added", added.id, now, deps);
  return added;
}

/** Changes where or what it is told; `disabled` stops it, or lets it go on with what comes from now on. */
export async function changeEndpoint(
  tx: Transaction,
  caller: Caller,
  id: string,
  expected: ExpectedVersion,
  patch: (now: WebhookEndpoint) => EndpointInput & { disabled: boolean },
  deps: Deps,
): Promise<WebhookEndpoint> {
  const endpoint = await findEndpoint(tx, caller, id);
  requireVersion(expected, endpoint.version, RESOURCE);
  const { disabled, ...input } = patch(endpoint);
  const now = await accountTime(tx, deps);
  const wasDisabled = endpoint.disabledAt !== null;
  const change = { ...input, updatedAt: now };
  const written = await tx.webhookEndpoints.update(id, endpoint.version, {
    ...change,
    ...(disabled && !wasDisabled && { disabledAt: now, disabledWhy: "A person disabled it." }),
    ...(!disabled && wasDisabled && { disabledAt: null, disabledWhy: null }),
  });
  if (!disabled && wasDisabled) await tx.passOverEvents(id);
  await logChange(tx, "changed", id, now, deps);
  return written;
}

/** A new secret; the old one signs as well until the overlap ends. */
export async function rotateSecret(
  tx: Transaction,
  caller: Caller,
  id: string,
  overlapMs: number,
  deps: Deps,
): Promise<WebhookEndpoint> {
  const endpoint = await findEndpoint(tx, caller, id);
  const now = await accountTime(tx, deps);
  const written = await tx.webhookEndpoints.update(id, endpoint.version, {
    secretNumber: endpoint.secretNumber + 1,
    overlapEndsAt: overlapMs === 0 ? null : now + overlapMs,
    updatedAt: now,
  });
  await logChange(tx, "changed", id, now, deps);
  return written;
}

export async function removeEndpoint(
  tx: Transaction,
  caller: Caller,
  id: string,
  expected: ExpectedVersion,
  deps: Deps,
): Promise<void> {
  const endpoint = await findEndpoint(tx, caller, id);
  requireVersion(expected, endpoint.version, RESOURCE);
  if (!(await tx.webhookEndpoints.remove(id, endpoint.version))) {
    throw new Refusal({ kind: "preconditionFailed", resource: RESOURCE });
  }
  await logChange(tx, "removed", id, await accountTime(tx, deps), deps);
}

/** Sends the endpoint a made-up event, which stands in no log. */
export async function sendTestEvent(
  tx: Transaction,
  caller: Caller,
  id: string,
  deps: Deps,
): Promise<Message> {
  const endpoint = await findEndpoint(tx, caller, id);
  requireEnabled(endpoint);
  const now = await accountTime(tx, deps);
  const event = eventOf(deps, now, "webhook.test", { resourceId: id }, { endpointId: id });
  return tx.messages.insert(deliveryOf(id, event, now, deps));
}

/** Lets a delivery be tried again from the beginning, under the same `webhook-id`. */
export async function redeliver(
  tx: Transaction,
  caller: Caller,
  messageId: string,
  deps: Deps,
): Promise<Message> {
  requireRight(caller, "administer");
  const message = await findOrRefuse(tx.messages, messageId, "message");
  if (message.endpointId === null) {
    const detail =
      "Only a webhook's delivery can be sent again. An email that failed is written anew by what it was about: give the member another address, or put the reminder off.";
    throw new Refusal({ kind: "conflict", detail });
  }
  const endpoint = await findOrRefuse(tx.webhookEndpoints, message.endpointId, RESOURCE);
  requireEnabled(endpoint);
  if (message.status === "sending") {
    throw new Refusal({ kind: "conflict", detail: "It is being delivered right now." });
  }
  const now = await accountTime(tx, deps);
  return tx.messages.update(messageId, message.version, anew(now));
}

/** The same for everything that failed since an instant; answers how many. */
export async function redeliverFailed(
  tx: Transaction,
  caller: Caller,
  id: string,
  since: Instant,
  deps: Deps,
): Promise<number> {
  const endpoint = await findEndpoint(tx, caller, id);
  requireEnabled(endpoint);
  return tx.redeliverFailed(id, since, await accountTime(tx, deps));
}

export async function findEndpoint(
  tx: Transaction,
  caller: Caller,
  id: string,
): Promise<WebhookEndpoint> {
  requireRight(caller, "administer");
  return findOrRefuse(tx.webhookEndpoints, id, RESOURCE);
}

function requireEnabled({ disabledAt }: WebhookEndpoint): void {
  if (disabledAt === null) return;
  const detail = "The endpoint is disabled. Change disabled to false first.";
  throw new Refusal({ kind: "conflict", detail });
}

async function logChange(
  tx: Transaction,
  what: "added" | "changed" | "removed",
  resourceId: string,
  now: Instant,
  deps: Deps,
): Promise<void> {
  const event = eventOf(deps, now, `webhookEndpoint.${what}`, { resourceId }, {});
  await tx.machine.write({ events: [event] }, now);
}
