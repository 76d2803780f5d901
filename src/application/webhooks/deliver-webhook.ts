import type { Instant } from "../../domain/calendar/plain-date.ts";
import { type Deps, eventOf } from "../deps.ts";
import type { SendReport } from "../mail/send-message.ts";
import type { Claimed, Outbox, Outcome, Sent } from "../outbox-ports.ts";
import type { Transaction } from "../ports.ts";
import { payloadOf } from "./payload.ts";
import type { WebhookAnswer, WebhookLetter, WebhookRequest, WebhookSender } from "./ports.ts";
import { triedAgainAt } from "./retry-schedule.ts";

/** Signs a payload; the answer is the value of `webhook-signature`. */
export type Sign = (
  letter: WebhookLetter,
  signed: { body: string; at: Instant },
  now: Instant,
) => string;

export interface DeliverDeps extends Deps {
  outbox: Outbox;
  webhookSender: WebhookSender;
  sign: Sign;
  /** Longer than the longest that one delivery can take. */
  webhookLeaseMs: number;
  longestDeliveryMs: number;
}

/** A receiver says with it that the endpoint is gone for good. */
const GONE = 410;
const KEPT_ANSWER = 300;

/**
 * Delivers one event to one endpoint, by the id of its message: leases the row, signs and posts it
 * outside any transaction, and notes what came of it. Delivered at least once: a receiver tells a
 * repeat by `webhook-id`.
 */
export async function deliverWebhook(
  accountId: string,
  messageId: string,
  now: Instant,
  deps: DeliverDeps,
): Promise<SendReport> {
  const how = { relays: deps.webhookSender.relays, probe: false };
  const claimed = await deps.outbox.claim(accountId, messageId, deps.webhookLeaseMs, now, how);
  if (!claimed) return { result: "notClaimed", repeated: false, lagMs: 0 };
  const report = { repeated: false, lagMs: now - claimed.since };
  const settle = async (outcome: Outcome, sent: Sent | null, answer?: WebhookAnswer) => {
    const noted = await note(claimed, outcome, sent, answer, now, deps);
    return { ...report, result: noted ? outcome.status : ("lost" as const) };
  };
  const letter = await deps.database.forSending(accountId, (tx) => tx.webhookLetter(messageId));
  if (!letter) return settle({ status: "suppressed", answer: "Its endpoint is gone." }, null);
  if (letter.endpoint.disabledAt !== null) {
    const why = letter.endpoint.disabledWhy ?? "by a person";
    return settle({ status: "failed", answer: `The endpoint is disabled: ${why}` }, null);
  }
  const request = requestOf(letter, now, deps.sign);
  if (!(await deps.outbox.stillHeld(claimed, deps.longestDeliveryMs))) {
    return { ...report, result: "lost" };
  }
  const answer = await deps.webhookSender.send(request);
  report.repeated = claimed.again;
  return settle(outcomeOf(answer, claimed, now), sentOf(letter, request), answer);
}

function requestOf(letter: WebhookLetter, now: Instant, sign: Sign): WebhookRequest {
  const body = payloadOf(letter.event);
  return {
    url: letter.endpoint.url,
    body,
    headers: {
      "content-type": "application/json",
      "user-agent": "Forewheel",
      "webhook-id": letter.webhookId,
      "webhook-timestamp": String(Math.floor(now / 1000)),
      "webhook-signature": sign(letter, { body, at: now }, now),
    },
  };
}

/** As it was posted, so that whoever looks for a fault sees it. */
function sentOf({ event, endpoint }: WebhookLetter, { headers, body }: WebhookRequest): Sent {
  const rendered = { subject: event.type, text: body, html: null, headers, attachments: [] };
  return { rendered, address: endpoint.url, expectedDays: [] };
}

function outcomeOf(answer: WebhookAnswer, { attempts }: Claimed, now: Instant): Outcome {
  const words = wordsOf(answer);
  if (answer.kind === "answered") {
    if (answer.status >= 200 && answer.status < 300) return { status: "sent", answer: words };
    if (answer.status === GONE) return { status: "failed", answer: words };
  }
  const retryAfter = answer.kind === "answered" ? answer.retryAfterMs : null;
  const nextAttemptAt = triedAgainAt(attempts, now, retryAfter);
  return nextAttemptAt === null
    ? { status: "failed", answer: words }
    : { status: "waiting", answer: words, nextAttemptAt };
}

function wordsOf(answer: WebhookAnswer): string {
  if (answer.kind === "unreached") return answer.why;
  const { status, text } = answer;
  if (status >= 300 && status < 400) {
    return `${status}: redirects are not followed; give the endpoint its final address.`;
  }
  return `${status} ${text}`.trim().slice(0, KEPT_ANSWER);
}

function note(
  claimed: Claimed,
  outcome: Outcome,
  sent: Sent | null,
  answer: WebhookAnswer | undefined,
  now: Instant,
  deps: DeliverDeps,
): Promise<boolean> {
  const { accountId } = claimed;
  if (answer?.kind !== "answered" || answer.status !== GONE) {
    return deps.database.forSending(
      accountId,
      async (tx) => (await tx.noteOutcome(claimed, outcome, sent, now)) !== null,
    );
  }
  return deps.database.asAccount(accountId, async (tx) => {
    if ((await tx.noteOutcome(claimed, outcome, sent, now)) === null) return false;
    await disable(tx, claimed, now, deps);
    return true;
  });
}

/** The receiver said that it is gone; what else waits for it fails when its turn comes. */
async function disable(
  tx: Transaction,
  { messageId }: Claimed,
  now: Instant,
  deps: Deps,
): Promise<void> {
  const message = await tx.messages.find(messageId);
  const endpoint = message?.endpointId && (await tx.webhookEndpoints.find(message.endpointId));
  if (!endpoint || endpoint.disabledAt !== null) return;
  const disabledWhy = "It answered 410 Gone.";
  await tx.webhookEndpoints.update(endpoint.id, endpoint.version, {
    disabledAt: now,
    disabledWhy,
    updatedAt: now,
  });
  const subject = { resourceId: endpoint.id };
  const event = eventOf(deps, now, "webhookEndpoint.changed", subject, { disabledWhy });
  await tx.machine.write({ events: [event] }, now);
}
