import type { Instant } from "../../domain/calendar/plain-date.ts";
import { type Deps, eventOf } from "../deps.ts";
import { refreshMachine } from "../machine/refresh.ts";
import type { Claimed, Delivery, Outcome, Sent, Transaction } from "../ports.ts";
import type { Member } from "../records.ts";
import { writeNotice } from "../write-notice.ts";

/** What was handed over, to whom, and what the server said. */
export interface Delivered extends Sent {
  delivery: Delivery;
  member: Member;
}

/**
 * Notes an outcome, logs it, and plans what follows from it: an address that is refused as unknown is
 * written to no more and the owner told, the next request for a reading is planned. Answers whether
 * the lease still held; if not, nothing is noted.
 */
export function noteDelivery(
  claimed: Claimed,
  outcome: Outcome,
  sent: Delivered | null,
  now: Instant,
  deps: Deps,
): Promise<boolean> {
  return deps.database.asAccount(claimed.accountId, async (tx) => {
    if (!(await tx.noteOutcome(claimed, outcome, sent, now))) return false;
    if (sent?.delivery.kind === "refused" && sent.delivery.mailboxUnknown) {
      await suppress(tx, sent, now, deps);
    }
    if (outcome.status === "sent" || outcome.status === "failed") {
      await tellReminders(tx, claimed, outcome.status, now, deps);
    }
    return true;
  });
}

async function tellReminders(
  tx: Transaction,
  { messageId }: Claimed,
  status: "sent" | "failed",
  now: Instant,
  deps: Deps,
): Promise<void> {
  const message = await tx.messages.find(messageId);
  const vehicleIds = new Set<string>();
  for (const id of message?.reminderIds ?? []) {
    const reminder = await tx.reminders.find(id);
    if (reminder?.status !== status) continue;
    vehicleIds.add(reminder.vehicleId);
    const subject = { resourceId: id, vehicleId: reminder.vehicleId };
    const data = { messageId, stage: reminder.stage, taskId: reminder.taskId };
    const event = eventOf(deps, now, `reminder.${status}`, subject, data);
    await tx.machine.write({ events: [event] }, now);
  }
  for (const vehicleId of vehicleIds) await refreshMachine(tx, vehicleId, deps);
}

/** Nothing more is sent to an address that its server does not know; the owner can mend that. */
async function suppress(
  tx: Transaction,
  { member, address, delivery: { answer } }: Delivered,
  now: Instant,
  deps: Deps,
): Promise<void> {
  const current = await tx.members.find(member.id);
  if (!current || current.email !== address) return;
  await tx.members.update(current.id, current.version, { emailSuppressed: answer, updatedAt: now });
  const owner = await tx.owner();
  if (owner.id === current.id) return;
  const { id: memberId, name } = current;
  const content = { code: "addressRefused", memberId, name, address, answer };
  const dedupe = `refused:${memberId}:${address.toLowerCase()}`;
  await writeNotice(tx, { kind: "notice", member: owner, dedupe, content }, now, deps);
}
