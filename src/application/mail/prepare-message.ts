import type { Instant } from "../../domain/calendar/plain-date.ts";
import type { Deps } from "../deps.ts";
import type { DigestMailView } from "../digest-view.ts";
import type { Links } from "../links.ts";
import type { Claimed, Letter, Rendered, Sent } from "../outbox-ports.ts";
import type { SendingTransaction, Transaction } from "../ports.ts";
import type { Member } from "../records.ts";
import type { NoticeMailView, ReminderMailView, RenderedMail } from "../views.ts";
import { composeDigest } from "./compose-digest.ts";
import { composeNotice } from "./compose-notice.ts";
import { composeReminders } from "./compose-reminders.ts";

export interface MailRenderer {
  reminder(
    view: ReminderMailView,
    thread: { taskIds: string[]; domain: string },
    now: Instant,
  ): RenderedMail;
  notice(view: NoticeMailView): RenderedMail;
  digest(view: DigestMailView, thread: { memberId: string; domain: string }): RenderedMail;
}

/** What mail is made with. */
export interface MailMaking {
  renderer: MailRenderer;
  links: Links;
}

/** A message ready to be handed over, or why nothing is to be sent. */
export type Prepared =
  | { kind: "dropped"; why: string }
  | { kind: "ready"; letter: Letter; member: Member; sent: Sent };

/** Looks whether a message is still wanted, and renders it from the data as they are. */
export function prepareMessage(
  claimed: Claimed,
  now: Instant,
  deps: Deps & MailMaking,
): Promise<Prepared> {
  const { database } = deps;
  const { accountId, messageId, kind } = claimed;
  return kind === "digest"
    ? database.asAccount(accountId, (tx) => prepare(tx, messageId, now, deps, digestIn(tx)))
    : database.forSending(accountId, (tx) => prepare(tx, messageId, now, deps, letterIn(tx)));
}

/** Renders a letter from the data as they are, or says why nothing is to be sent. */
type Render = (
  letter: Letter,
  member: Member,
  now: Instant,
  deps: Deps & MailMaking,
) => Promise<{ mail: RenderedMail; expectedDays?: Sent["expectedDays"] } | string>;

async function prepare(
  tx: SendingTransaction,
  messageId: string,
  now: Instant,
  deps: Deps & MailMaking,
  render: Render,
): Promise<Prepared> {
  const letter = await tx.letter(messageId);
  const member = letter?.member;
  if (!letter || !member) return { kind: "dropped", why: "Its member is gone." };
  const barrier = barrierOf(letter.message, member);
  if (barrier) return { kind: "dropped", why: barrier };
  const made = await render(letter, member, now, deps);
  if (typeof made === "string") return { kind: "dropped", why: made };
  const { mail, expectedDays = [] } = made;
  const address = member.email;
  return {
    kind: "ready",
    letter,
    member,
    sent: { rendered: renderedOf(mail), address, expectedDays },
  };
}

function letterIn(tx: SendingTransaction): Render {
  return async (letter, member, now, { links, renderer, mailDomain: domain }) => {
    const { message, account } = letter;
    if (message.kind !== "reminder") {
      return { mail: renderer.notice(composeNotice(message, account, member, now, links)) };
    }
    const composed = await composeReminders(tx, letter, member, now, links);
    if (!composed) return "Nothing that it would say is wanted any more.";
    const { view, taskIds, expectedDays } = composed;
    return { mail: renderer.reminder(view, { taskIds, domain }, now), expectedDays };
  };
}

function digestIn(tx: Transaction): Render {
  return async ({ message, account }, member, now, { links, renderer, mailDomain: domain }) => {
    const view = await composeDigest(tx, message, account, member, now, links);
    return view
      ? { mail: renderer.digest(view, { memberId: member.id, domain }) }
      : "Nothing to report.";
  };
}

/** Why nothing may go to this member now; null when it may. */
function barrierOf({ kind }: Letter["message"], member: Member): string | null {
  if (member.emailSuppressed !== null) return "Nothing is sent to this address any more.";
  if (kind === "confirmAddress") return null;
  if (member.emailConfirmedAt === null) return "The address has not been confirmed.";
  if (kind !== "reminder" && kind !== "digest") return null;
  if (member.unsubscribedAt !== null) return "The member has unsubscribed.";
  if (kind === "digest" && member.reminders.digest === "none")
    return "No digest is wanted any more.";
  return null;
}

function renderedOf({ subject, text, html, headers, attachments }: RenderedMail): Rendered {
  return { subject, text, html, headers, attachments: [...attachments] };
}
