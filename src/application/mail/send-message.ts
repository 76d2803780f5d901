import type { Instant } from "../../domain/calendar/plain-date.ts";
import type { Deps } from "../deps.ts";
import { eventOf } from "../deps.ts";
import type { Links } from "../links.ts";
import { refreshMachine } from "../machine/refresh.ts";
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
import { composeNotice } from "./compose-notice.ts";
import { composeReminders } from "./compose-reminders.ts";
import { retryAt } from "./retry-at.ts";

export interface MailRenderer {
  reminder(
    view: ReminderMailView,
    thread: { taskIds: string[]; domain: string },
    now: Instant,
  ): RenderedMail;
  notice(view: NoticeMailView): RenderedMail;
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

/**
 * Sends one message, by its id: leases the row, looks whether it is still wanted, renders it from the
 * data as they are, hands it over outside any transaction, and notes what came of it. The same verb
 * serves real mail and a sandbox, whose sender keeps the mail.
 */
export async function sendMessage(
  accountId: string,
  messageId: string,
  now: Instant,
  deps: SendDeps,
): Promise<SendResult> {
  const claimed = await deps.outbox.claim(accountId, messageId, deps.leaseMs, now);
  if (!claimed) return "notClaimed";
  const prepared = await deps.database.asAccount(accountId, (tx) =>
    prepare(tx, messageId, now, deps),
  );
  if (prepared.kind === "dropped") {
    const outcome: Outcome = { status: "suppressed", answer: prepared.why };
    return (await note(claimed, outcome, null, now, deps)) ? "suppressed" : "lost";
  }
  // A process that stalled past its lease must not hand over what another is sending by now.
  if (!(await deps.outbox.stillHeld(claimed, deps.longestSendMs))) return "lost";
  const { message, sent, member } = prepared;
  const to = { name: member.name, address: sent.address };
  const delivery = await deps.sender.send({
    ...sent.rendered,
    to,
    messageId: message.messageIdHeader,
  });
  const outcome = outcomeOf(delivery, claimed, message, now);
  return (await note(claimed, outcome, { ...sent, delivery, member }, now, deps))
    ? outcome.status
    : "lost";
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
  if (kind === "reminder" && member.unsubscribedAt !== null) return "The member has unsubscribed.";
  return null;
}

function outcomeOf(delivery: Delivery, claimed: Claimed, message: Message, now: Instant): Outcome {
  const { answer } = delivery;
  if (delivery.kind === "accepted") return { status: "sent", answer };
  if (delivery.kind === "refused") return { status: "failed", answer };
  const nextAttemptAt = retryAt(claimed.attempts, now);
  if (nextAttemptAt > message.giveUpAt) return { status: "failed", answer };
  return { status: delivery.kind === "unknown" ? "unknown" : "waiting", answer, nextAttemptAt };
}

/** Notes the outcome, logs it, and plans what follows from it: the next request for a reading. */
function note(
  claimed: Claimed,
  outcome: Outcome,
  sent: (Sent & { delivery: Delivery; member: Member }) | null,
  now: Instant,
  deps: SendDeps,
): Promise<boolean> {
  return deps.database.asAccount(claimed.accountId, async (tx) => {
    if (!(await tx.noteOutcome(claimed, outcome, sent, now))) return false;
    if (sent?.delivery.kind === "refused" && sent.delivery.mailboxUnknown) {
      await suppress(tx, sent.member, outcome.answer, now);
    }
    if (outcome.status !== "sent" && outcome.status !== "failed") return true;
    const vehicleIds = new Set<string>();
    for (const { id } of sent?.expectedDays ?? []) {
      const reminder = await tx.reminders.find(id);
      if (!reminder) continue;
      vehicleIds.add(reminder.vehicleId);
      const subject = { resourceId: id, vehicleId: reminder.vehicleId };
      const data = { messageId: claimed.messageId, stage: reminder.stage, taskId: reminder.taskId };
      const event = eventOf(deps, now, `reminder.${outcome.status}`, subject, data);
      await tx.machine.write({ events: [event] }, now);
    }
    for (const vehicleId of vehicleIds) await refreshMachine(tx, vehicleId, deps);
    return true;
  });
}

async function suppress(
  tx: Transaction,
  member: Member,
  answer: string,
  now: Instant,
): Promise<void> {
  const current = await tx.members.find(member.id);
  if (!current || current.email !== member.email) return;
  await tx.members.update(current.id, current.version, { emailSuppressed: answer, updatedAt: now });
}

function renderedOf({ subject, text, html, headers, attachments }: RenderedMail): Rendered {
  return { subject, text, html, headers, attachments: [...attachments] };
}
