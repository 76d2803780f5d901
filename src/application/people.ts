import type { ExpectedVersion } from "../domain/failure/expected-version.ts";
import { requireVersion } from "../domain/failure/expected-version.ts";
import { Refusal, refuseField } from "../domain/failure/failure.ts";
import { type Caller, requireRight, rightOf } from "./caller.ts";
import { accountTime, type Deps, eventOf, fresh } from "./deps.ts";
import { findOrRefuse } from "./find-or-refuse.ts";
import { planDigest } from "./mail/plan-digest.ts";
import type { Transaction } from "./ports.ts";
import type { Member } from "./records.ts";
import { requireFreeExternalId, requireSameContent } from "./repeat-external-id.ts";
import { askToConfirm } from "./write-notice.ts";

export type MemberInput = Pick<
  Member,
  "name" | "email" | "role" | "locale" | "timeZone" | "unit" | "reminders" | "externalId"
>;

/**
 * Adds a member. Whoever administers the account vouches for the address; one that a manager invites
 * is asked by mail to confirm it before reminders go to it.
 */
export async function addMember(
  tx: Transaction,
  caller: Caller,
  input: MemberInput,
  given: Record<string, unknown>,
  deps: Deps,
): Promise<{ member: Member; isNew: boolean }> {
  if (input.role === "owner") refuseSecondOwner();
  requireInvitation(caller, input.role);
  const existing = input.externalId ? await memberByExternalId(tx, input.externalId) : null;
  if (existing) {
    requireSameContent(existing, given, String(input.externalId));
    return { member: existing, isNew: false };
  }
  const now = await accountTime(tx, deps);
  const member = await tx.members.insert({
    ...fresh(deps, now),
    ...input,
    emailConfirmedAt: vouches(caller) ? now : null,
    emailSuppressed: null,
    unsubscribedAt: null,
  });
  await planDigest(tx, member, now);
  if (!vouches(caller)) await askToConfirm(tx, member, now, deps);
  await tx.machine.write(
    { events: [eventOf(deps, now, "member.added", { resourceId: member.id }, {})] },
    now,
  );
  return { member, isNew: true };
}

export async function changeMember(
  tx: Transaction,
  caller: Caller,
  id: string,
  expected: ExpectedVersion,
  patch: (member: Member) => MemberInput,
  deps: Deps,
): Promise<Member> {
  const member = await findOrRefuse(tx.members, id, "member");
  const self = caller.memberId === id;
  if (!self) requireInvitation(caller, member.role);
  requireVersion(expected, member.version, "member");
  const input = patch(member);
  if (input.role !== member.role) {
    if (member.role === "owner" || input.role === "owner") {
      refuseSecondOwner();
    }
    requireInvitation(caller, input.role);
  }
  await requireFreeExternalId(tx.members, member, input.externalId);
  const now = await accountTime(tx, deps);
  const moved = input.email !== member.email;
  await tx.machine.replanOf(id, now);
  const written = await tx.members.update(id, member.version, {
    ...input,
    updatedAt: now,
    ...(moved && { emailConfirmedAt: vouches(caller) ? now : null, emailSuppressed: null }),
  });
  await planDigest(tx, written, now);
  if (moved && !vouches(caller)) await askToConfirm(tx, written, now, deps);
  await tx.machine.write(
    { events: [eventOf(deps, now, "member.changed", { resourceId: id }, {})] },
    now,
  );
  return written;
}

export async function removeMember(
  tx: Transaction,
  caller: Caller,
  id: string,
  expected: ExpectedVersion,
  deps: Deps,
): Promise<void> {
  const member = await findOrRefuse(tx.members, id, "member");
  requireInvitation(caller, member.role);
  requireVersion(expected, member.version, "member");
  if (member.role === "owner") {
    throw new Refusal({ kind: "conflict", detail: "An account keeps its owner." });
  }
  const { items } = await tx.vehicles.list({ responsibleMemberId: id }, { limit: 1, after: null });
  if (items.length > 0) {
    throw new Refusal({
      kind: "conflict",
      detail: `This member is responsible for "${items[0]?.name}". Give that vehicle another responsibleMemberId first.`,
    });
  }
  const now = await accountTime(tx, deps);
  if (!(await tx.members.remove(id, member.version))) {
    throw new Refusal({ kind: "preconditionFailed", resource: "member" });
  }
  await tx.machine.write(
    { events: [eventOf(deps, now, "member.removed", { resourceId: id }, {})] },
    now,
  );
}

function refuseSecondOwner(): never {
  throw refuseField("#/role", "an account has one owner, who stays the owner");
}

/** An owner manages all members, a manager riders and mechanics. */
function requireInvitation(caller: Caller, role: Member["role"]): void {
  requireRight(caller, "invite");
  const limited = rightOf(caller, "administer") !== "yes";
  if (limited && (role === "owner" || role === "manager")) {
    throw new Refusal({
      kind: "forbidden",
      need: "the owner's rights, to manage owners and managers",
    });
  }
}

function vouches(caller: Caller): boolean {
  return caller.scopes.includes("admin") && rightOf(caller, "administer") === "yes";
}

async function memberByExternalId(tx: Transaction, externalId: string): Promise<Member | null> {
  const { items } = await tx.members.list({ externalId }, { limit: 1, after: null });
  return items[0] ?? null;
}
