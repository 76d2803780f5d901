import type { Instant } from "../../domain/calendar/plain-date.ts";
import { type Deps, eventOf } from "../deps.ts";
import { refreshMachine } from "../machine/refresh.ts";
import type { Claimed, Delivery, Outcome, Sent, SettledReminder } from "../outbox-ports.ts";
import type { SendingTransaction, Transaction } from "../ports.ts";
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
  const noted = async (tx: SendingTransaction) => {
    const settled = await tx.noteOutcome(claimed, outcome, sent, now);
    if (settled !== null) await tellReminders(tx, claimed, outcome, settled, now, deps);
    return settled !== null;
  };
  const { accountId } = claimed;
  const unknown = sent?.delivery.kind === "refused" && sent.delivery.mailboxUnknown;
  if (!unknown) return deps.database.forSending(accountId, noted);
  return deps.database.asAccount(accountId, async (tx) => {
    if (!(await noted(tx))) return false;
    await suppress(tx, sent, now, deps);
    return true;
  });
}

async function tellReminders(
  tx: SendingTransaction,
  { messageId }: Claimed,
  { status }: Outcome,
  settled: readonly SettledReminder[],
  now: Instant,
  deps: Deps,
): Promise<void> {
  const events = settled.map(({ id, vehicleId, stage, taskId }) => {
    const subject = { resourceId: id, vehicleId };
    return eventOf(deps, now, `reminder.${status}`, subject, { messageId, stage, taskId });
  });
  await tx.machine.write({ events }, now);
  const vehicleIds = new Set(settled.map(({ vehicleId }) => vehicleId));
  for (const vehicleId of [...vehicleIds].sort()) await refreshMachine(tx, vehicleId, deps);
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
