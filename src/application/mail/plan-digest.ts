import type { Instant } from "../../domain/calendar/plain-date.ts";
import { type DigestPreferences, nextDigest, plannedDigest } from "../../domain/reminder/digest.ts";
import type { Deps } from "../deps.ts";
import type { Transaction } from "../ports.ts";
import type { Member } from "../records.ts";
import { writeNotice } from "../write-notice.ts";

/** Keeps when the member's next digest is written; whoever has left the mailing gets none. */
export async function planDigest(tx: Transaction, member: Member, now: Instant): Promise<void> {
  const lastFrom = await tx.digests.lastFrom(member.id);
  const next = nextDigest(now, preferencesOf(member), lastFrom);
  await tx.digests.plan(member.id, next?.at ?? null, now);
}

/**
 * Writes the member's digest into the outbox, if it is due and nobody else is at it, and plans the
 * next. After an outage only the newest is written, and one that still waits gives way to it. What
 * it says is worked out when it is sent. Answers whether it was this sweep's to write.
 */
export async function writeDigest(
  tx: Transaction,
  memberId: string,
  now: Instant,
  deps: Pick<Deps, "ids" | "mailDomain">,
): Promise<boolean> {
  const planned = await tx.digests.take(memberId, now);
  const member = planned === null ? null : await tx.members.find(memberId);
  if (planned === null || !member) return false;
  const preferences = preferencesOf(member);
  const lastFrom = await tx.digests.lastFrom(memberId);
  const due = plannedDigest(planned, now, preferences, lastFrom);
  if (due === null || due.at > now) {
    await tx.digests.plan(memberId, due?.at ?? null, now);
    return true;
  }
  await tx.digests.callOff(memberId, "A newer digest takes its place.", now);
  const dedupe = `digest:${memberId}:${new Date(due.at).toISOString()}`;
  const content = { from: due.from, pace: preferences.digest };
  await writeNotice(tx, { kind: "digest", member, dedupe, content }, now, deps);
  const next = nextDigest(due.at, preferences, due.from);
  await tx.digests.plan(memberId, next?.at ?? null, now);
  return true;
}

function preferencesOf({ reminders, timeZone, unsubscribedAt }: Member): DigestPreferences {
  const { digest, sendingHour, quietDays } = reminders;
  return {
    digest: unsubscribedAt === null ? digest : "none",
    sendingHour,
    quietDays,
    zone: timeZone,
  };
}
