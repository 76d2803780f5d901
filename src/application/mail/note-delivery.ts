import type { Instant } from "../../domain/calendar/plain-date.ts";
import { type Deps, eventOf } from "../deps.ts";
import { refreshMachine } from "../machine/refresh.ts";
import type { Claimed, Delivery, Outcome, Sent } from "../outbox-ports.ts";
import type { SendingTransaction, Transaction } from "../ports.ts";
import type { Member } from "../records.ts";
import { writeNotice } from "../write-notice.ts";

/** What was handed over, to whom, and what the server said. */
export interface Delivered extends Sent {
  delivery: Delivery;
  member: Member;
}

/** What became of the noting. */
export interface Noted {
  /** False where the lease held no more: nothing was noted then. */
  noted: boolean;
  /** Why the plan of a machine could not be made again. */
  fault?: unknown;
}

/**
 * Notes an outcome, logs it, and plans what follows from it: an address that is refused as unknown is
 * written to no more and the owner told, the next request for a reading is planned. An outcome stands
 * also where nothing can be planned: unnoted, the mail would go out again and again.
 */
export async function noteDelivery(
  claimed: Claimed,
  outcome: Outcome,
  sent: Delivered | null,
  now: Instant,
  deps: Deps,
): Promise<Noted> {
  try {
    return { noted: await note(claimed, outcome, sent, now, deps, refreshMachine) };
  } catch (fault) {
    return { noted: await note(claimed, outcome, sent, now, deps, async () => {}), fault };
  }
}

type Replan = (tx: SendingTransaction, vehicleId: string, deps: Deps) => Promise<unknown>;

function note(
  claimed: Claimed,
  outcome: Outcome,
  sent: Delivered | null,
  now: Instant,
  deps: Deps,
  replan: Replan,
): Promise<boolean> {
  const { accountId, messageId } = claimed;
  const noted = async (tx: SendingTransaction) => {
    const settled = await tx.noteOutcome(claimed, outcome, sent, now);
    if (settled === null) return false;
    const type = outcome.status === "sent" ? "reminder.sent" : "reminder.failed";
    const events = settled.map(({ id, vehicleId, stage, taskId }) => {
      const subject = { resourceId: id, vehicleId };
      const data = { messageId, stage, taskId };
      return eventOf(deps, now, type, subject, data);
    });
    await tx.machine.write({ events }, now);
    const vehicleIds = new Set(settled.map(({ vehicleId }) => vehicleId));
    for (const vehicleId of [...vehicleIds].sort()) await replan(tx, vehicleId, deps);
    return true;
  };
  const unknown = sent?.delivery.kind === "refused" && sent.delivery.mailboxUnknown;
  if (!unknown) return deps.database.forSending(accountId, noted);
  return deps.database.asAccount(accountId, async (tx) => {
    if (!(await noted(tx))) return false;
    await suppress(tx, sent, now, deps);
    return true;
  });
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
