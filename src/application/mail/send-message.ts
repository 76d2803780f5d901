import type { Instant } from "../../domain/calendar/plain-date.ts";
import type { Deps } from "../deps.ts";
import type { DigestMailView } from "../digest-view.ts";
import type { Links } from "../links.ts";
import type {
  Claimed,
  Delivery,
  Outbox,
  Outcome,
  Rendered,
  Sender,
  Sent,
  Transaction,
} from "../ports.ts";
import type { Member, Message } from "../records.ts";
import type { NoticeMailView, ReminderMailView, RenderedMail } from "../views.ts";
import { composeDigest } from "./compose-digest.ts";
import { composeNotice } from "./compose-notice.ts";
import { composeReminders } from "./compose-reminders.ts";
import { type Delivered, noteDelivery } from "./note-delivery.ts";
import { retryAt, retrySoon } from "./retry-at.ts";

export interface MailRenderer {
  reminder(
    view: ReminderMailView,
    thread: { taskIds: string[]; domain: string },
    now: Instant,
  ): RenderedMail;
  notice(view: NoticeMailView): RenderedMail;
  digest(view: DigestMailView, thread: { memberId: string; domain: string }): RenderedMail;
}

export interface SendDeps extends Deps {
  outbox: Outbox;
  sender: Sender;
  renderer: MailRenderer;
  links: Links;
  /** Longer than the longest that sending one message can take. */
  leaseMs: number;
  longestSendMs: number;
}

export type SendResult = Outcome["status"] | "notClaimed" | "lost";

/** What came of one attempt, for the log and the measurements. */
export interface SendReport {
  result: SendResult;
  /** Whether it was handed over although it may have been handed over before. */
  repeated: boolean;
  /** From the message's making to now, in ms. */
  lagMs: number;
  /** Why it could not be made. */
  fault?: unknown;
}

/** A message that cannot be made, or whose sending kills the process, is given up after so many times. */
const MOST_BROKEN_OFF = 5;

/**
 * Sends one message, by its id: leases the row, looks whether it is still wanted, renders it from the
 * data as they are, hands it over outside any transaction, and notes what came of it. The same verb
 * serves real mail and a sandbox, whose sender keeps the mail. A probe tries a mail server that is
 * taken to be down.
 */
export async function sendMessage(
  accountId: string,
  messageId: string,
  now: Instant,
  deps: SendDeps,
  probe = false,
): Promise<SendReport> {
  const how = { relays: deps.sender.relays, probe };
  const claimed = await deps.outbox.claim(accountId, messageId, deps.leaseMs, now, how);
  if (!claimed) return { result: "notClaimed", repeated: false, lagMs: 0 };
  const report = { repeated: false, lagMs: now - claimed.since };
  const settle = async (outcome: Outcome, sent: Delivered | null) => {
    const noted = await noteDelivery(claimed, outcome, sent, now, deps);
    return { ...report, result: noted ? outcome.status : ("lost" as const) };
  };
  if (claimed.brokenOff >= MOST_BROKEN_OFF)
    return settle({ status: "failed", answer: GIVEN_UP }, null);
  const prepared = await deps.database
    .asAccount(accountId, (tx) => prepare(tx, messageId, now, deps))
    .catch((fault: unknown) => ({ kind: "faulty" as const, fault }));
  if (prepared.kind === "faulty") {
    return { ...(await settle(unmade(claimed, now), null)), fault: prepared.fault };
  }
  if (prepared.kind === "dropped") {
    return settle({ status: "suppressed", answer: prepared.why }, null);
  }
  // A process that stalled past its lease must not hand over what another is sending by now.
  if (!(await deps.outbox.stillHeld(claimed, deps.longestSendMs)))
    return { ...report, result: "lost" };
  const { message, sent, member } = prepared;
  const to = { name: member.name, address: sent.address };
  const { messageIdHeader } = message;
  const delivery = await deps.sender.send({ ...sent.rendered, to, messageId: messageIdHeader });
  await noteRelay(delivery, claimed, deps);
  report.repeated = claimed.again;
  return settle(outcomeOf(delivery, claimed, message, now), { ...sent, delivery, member });
}

const GIVEN_UP = `Given up: ${MOST_BROKEN_OFF} attempts ended without an outcome. The worker's log says more.`;

function unmade({ attempts }: Claimed, now: Instant): Outcome {
  const answer = "It could not be made; the worker's log says why.";
  return { status: "waiting", answer, nextAttemptAt: retryAt(attempts, now), brokenOff: true };
}

/** All workers share what one of them sees of the mail server. */
async function noteRelay(delivery: Delivery, claimed: Claimed, deps: SendDeps): Promise<void> {
  if (!deps.sender.relays) return;
  if (delivery.kind === "later" && !delivery.reachable) await deps.outbox.noteUnreachable();
  else if (claimed.relayFailed) await deps.outbox.noteReached();
}

type Prepared =
  | { kind: "dropped"; why: string }
  | { kind: "ready"; message: Message; member: Member; sent: Sent };

async function prepare(
  tx: Transaction,
  messageId: string,
  now: Instant,
  deps: SendDeps,
): Promise<Prepared> {
  const message = await tx.messages.find(messageId);
  const account = await tx.accounts.find();
  const member = message?.memberId ? await tx.members.find(message.memberId) : null;
  if (!message || !account || !member) return { kind: "dropped", why: "Its member is gone." };
  const barrier = barrierOf(message, member);
  if (barrier) return { kind: "dropped", why: barrier };
  const address = String(message.content.address ?? member.email);
  if (message.kind === "digest") {
    const view = await composeDigest(tx, message, account, member, now, deps.links);
    if (!view) return { kind: "dropped", why: "Nothing to report." };
    const thread = { memberId: member.id, domain: deps.mailDomain };
    const rendered = renderedOf(deps.renderer.digest(view, thread));
    return { kind: "ready", message, member, sent: { rendered, address, expectedDays: [] } };
  }
  if (message.kind !== "reminder") {
    const view = composeNotice(message, account, member, now, deps.links);
    const rendered = renderedOf(deps.renderer.notice(view));
    return { kind: "ready", message, member, sent: { rendered, address, expectedDays: [] } };
  }
  const composed = await composeReminders(tx, message, account, member, now, deps.links);
  if (!composed) return { kind: "dropped", why: "Nothing that it would say is wanted any more." };
  const thread = { taskIds: composed.taskIds, domain: deps.mailDomain };
  const rendered = renderedOf(deps.renderer.reminder(composed.view, thread, now));
  const { expectedDays } = composed;
  return { kind: "ready", message, member, sent: { rendered, address, expectedDays } };
}

/** Why nothing may go to this member now; null when it may. */
function barrierOf({ kind }: Message, member: Member): string | null {
  if (member.emailSuppressed !== null) return "Nothing is sent to this address any more.";
  if (kind === "confirmAddress") return null;
  if (member.emailConfirmedAt === null) return "The address has not been confirmed.";
  if (kind !== "reminder" && kind !== "digest") return null;
  if (member.unsubscribedAt !== null) return "The member has unsubscribed.";
  if (kind === "digest" && member.reminders.digest === "none") return "No digest is wanted any more.";
  return null;
}

function outcomeOf(delivery: Delivery, claimed: Claimed, message: Message, now: Instant): Outcome {
  const { answer } = delivery;
  if (delivery.kind === "accepted") return { status: "sent", answer };
  if (delivery.kind === "refused") return { status: "failed", answer };
  const uncounted = delivery.kind === "later" && !delivery.reachable;
  const nextAttemptAt = uncounted ? retrySoon(now) : retryAt(claimed.attempts, now);
  if (nextAttemptAt > message.giveUpAt) return { status: "failed", answer };
  const status = delivery.kind === "unknown" ? "unknown" : "waiting";
  return { status, answer, nextAttemptAt, ...(uncounted && { uncounted }) };
}

function renderedOf({ subject, text, html, headers, attachments }: RenderedMail): Rendered {
  return { subject, text, html, headers, attachments: [...attachments] };
}
