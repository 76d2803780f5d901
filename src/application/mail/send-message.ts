import type { Instant } from "../../domain/calendar/plain-date.ts";
import type { Deps } from "../deps.ts";
import type { Claimed, Delivery, Letter, Outbox, Outcome, Sender } from "../outbox-ports.ts";
import { type Delivered, noteDelivery } from "./note-delivery.ts";
import { type MailMaking, prepareMessage } from "./prepare-message.ts";
import { retryAt, retrySoon } from "./retry-at.ts";

export interface SendDeps extends Deps, MailMaking {
  outbox: Outbox;
  sender: Sender;
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
  /** Why it could not be made, or what follows from it not be planned. */
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
    const { noted, ...faults } = await noteDelivery(claimed, outcome, sent, now, deps);
    return { ...report, ...faults, result: noted ? outcome.status : ("lost" as const) };
  };
  if (claimed.brokenOff >= MOST_BROKEN_OFF)
    return settle({ status: "failed", answer: GIVEN_UP }, null);
  const made = await prepareMessage(claimed, now, deps).catch((fault: unknown) => ({
    kind: "faulty" as const,
    fault,
  }));
  if (made.kind === "faulty") {
    return { ...(await settle(unmade(claimed, now), null)), fault: made.fault };
  }
  if (made.kind === "dropped") return settle({ status: "suppressed", answer: made.why }, null);
  // A process that stalled past its lease must not hand over what another is sending by now.
  if (!(await deps.outbox.stillHeld(claimed, deps.longestSendMs))) {
    return { ...report, result: "lost" };
  }
  const { letter, sent, member } = made;
  const to = { name: member.name, address: sent.address };
  const { messageIdHeader } = letter.message;
  const delivery = await deps.sender.send({ ...sent.rendered, to, messageId: messageIdHeader });
  await noteRelay(delivery, claimed, deps);
  report.repeated = claimed.again;
  return settle(outcomeOf(delivery, claimed, letter.message, now), { ...sent, delivery, member });
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

function outcomeOf(
  delivery: Delivery,
  claimed: Claimed,
  { giveUpAt }: Letter["message"],
  now: Instant,
): Outcome {
  const { answer } = delivery;
  if (delivery.kind === "accepted") return { status: "sent", answer };
  if (delivery.kind === "refused") return { status: "failed", answer };
  const uncounted = delivery.kind === "later" && !delivery.reachable;
  const nextAttemptAt = uncounted ? retrySoon(now) : retryAt(claimed.attempts, now);
  if (nextAttemptAt > giveUpAt) return { status: "failed", answer };
  const status = delivery.kind === "unknown" ? "unknown" : "waiting";
  return { status, answer, nextAttemptAt, ...(uncounted && { uncounted }) };
}
