import type { Instant } from "../domain/calendar/plain-date.ts";
import type { Deps } from "./deps.ts";
import type { Transaction } from "./ports.ts";
import type { Member, Message } from "./records.ts";

const DAY = 86_400_000;

/** What mail is made with beside the time and ids. */
export interface MailDeps extends Pick<Deps, "ids"> {
  /** The right-hand side of Message-IDs. */
  mailDomain: string;
}

/** Asks the member to confirm an address, once for each address. */
export function askToConfirm(
  tx: Transaction,
  member: Member,
  now: Instant,
  deps: MailDeps,
): Promise<Message> {
  const dedupe = `confirm:${member.id}:${member.email.toLowerCase()}`;
  return writeNotice(tx, { kind: "confirmAddress", member, dedupe, content: {} }, now, deps);
}

/** Puts a mail that carries no reminders into the account's outbox; the same `dedupe` is written once. */
export async function writeNotice(
  tx: Transaction,
  notice: {
    kind: "confirmAddress" | "freshLink" | "notice" | "digest";
    member: Member;
    dedupe: string;
    content: Record<string, unknown>;
  },
  now: Instant,
  deps: MailDeps,
): Promise<Message> {
  const existing = await tx.messageByDedupe(notice.dedupe);
  if (existing) return existing;
  const id = deps.ids();
  return tx.messages.insert({
    id,
    createdAt: now,
    updatedAt: now,
    memberId: notice.member.id,
    endpointId: null,
    kind: notice.kind,
    dedupe: notice.dedupe,
    content: notice.content,
    status: "waiting",
    attempts: 0,
    nextAttemptAt: now,
    giveUpAt: now + 7 * DAY,
    lastAnswer: null,
    messageIdHeader: `<message-${id}@${deps.mailDomain}>`,
    address: null,
    subject: null,
    text: null,
    html: null,
    headers: null,
    attachments: [],
    sentAt: null,
    reminderIds: [],
  });
}
