import type { Instant } from "../domain/calendar/plain-date.ts";
import { type ExpectedVersion, requireVersion } from "../domain/failure/expected-version.ts";
import { Refusal, refuseField } from "../domain/failure/failure.ts";
import { type Caller, requireRight } from "./caller.ts";
import { accountTime, type Deps, eventOf, fresh } from "./deps.ts";
import type { EventTypeName } from "./event-types.ts";
import { findOrRefuse } from "./find-or-refuse.ts";
import { planDigest } from "./mail/plan-digest.ts";
import type { MemberInput } from "./people.ts";
import type { StoredKey, Transaction } from "./ports.ts";
import type { Account, Member, Scope } from "./records.ts";

export interface AccountInput {
  name: string;
  sandbox: boolean;
  clock: Instant | null;
  owner: MemberInput;
}

/** What a key is made of: its text is shown once, only the hash of its secret is stored. */
export interface MadeKey {
  publicId: string;
  secretHash: Uint8Array;
}

/** Makes an account with its owner, whose address the operator vouches for, and a first key. */
export async function createAccount(
  tx: Transaction,
  input: AccountInput,
  key: MadeKey,
  deps: Deps,
): Promise<{ account: Account; owner: Member; key: StoredKey }> {
  const now = input.clock ?? deps.clock();
  const marks = { createdAt: now, updatedAt: now };
  const account = await tx.accounts.insert({
    id: tx.accountId,
    ...marks,
    name: input.name,
    sandbox: input.sandbox,
    clock: input.sandbox ? now : null,
    allowedOrigins: [],
  });
  const owner = await tx.members.insert({
    ...fresh(deps, now),
    ...input.owner,
    role: "owner",
    emailConfirmedAt: now,
    emailSuppressed: null,
    unsubscribedAt: null,
  });
  await planDigest(tx, owner, now);
  const first: KeyInput = {
    name: "First key",
    scopes: ["read", "readings:write", "write", "admin"],
    memberId: null,
    vehicleIds: null,
    expiresAt: null,
  };
  const made = await insertKey(tx, first, key, now, deps);
  return { account, owner, key: made };
}

export interface KeyInput {
  name: string;
  scopes: Scope[];
  memberId: string | null;
  vehicleIds: string[] | null;
  expiresAt: Instant | null;
}

/** Adds a key: it never has scopes that the key which makes it lacks. A key bound to vehicles makes none. */
export async function addKey(
  tx: Transaction,
  caller: Caller,
  input: KeyInput,
  key: MadeKey,
  deps: Deps,
): Promise<StoredKey> {
  requireRight(caller, "administer");
  await requireBounds(tx, caller, input);
  if (input.expiresAt !== null && input.expiresAt <= deps.clock()) {
    throw refuseField("#/expiresAt", "must lie in the future");
  }
  const now = await accountTime(tx, deps);
  const made = await insertKey(tx, input, key, now, deps);
  await note(tx, deps, now, "key.added", made.id);
  return made;
}

/**
 * A new secret for the same rights, which the caller must hold as well: whoever gets the secret could
 * use them. The old key works for `overlapMs` more, by real time, so that an app can change over
 * without a gap.
 */
export async function rotateKey(
  tx: Transaction,
  caller: Caller,
  id: string,
  overlapMs: number,
  key: MadeKey,
  deps: Deps,
): Promise<StoredKey> {
  requireRight(caller, "administer");
  const old = await findOrRefuse(tx.keys, id, "API key");
  const missing = lacking(caller, old.scopes);
  if (missing)
    throw new Refusal({ kind: "forbidden", need: `the scope ${missing}, as that key has` });
  if (old.revokedAt !== null) {
    throw new Refusal({ kind: "conflict", detail: "This key has been revoked. Make a new one." });
  }
  if (old.parentId !== null) {
    const detail = "This key is short-lived. Make a new one with the key that made it.";
    throw new Refusal({ kind: "conflict", detail });
  }
  const now = await accountTime(tx, deps);
  const ends = deps.clock() + overlapMs;
  await tx.keys.update(id, old.version, {
    expiresAt: Math.min(old.expiresAt ?? ends, ends),
    updatedAt: now,
  });
  await tx.keyFamily.expire(id, ends, now);
  const { name, scopes, memberId, vehicleIds, expiresAt } = old;
  const rights = { name, scopes, memberId, vehicleIds, expiresAt };
  const made = await insertKey(tx, rights, key, now, deps);
  await note(tx, deps, now, "key.rotated", made.id);
  return made;
}

/** From now on the key, and those that it made, open nothing; it stays listed. */
export async function revokeKey(
  tx: Transaction,
  caller: Caller,
  id: string,
  expected: ExpectedVersion,
  deps: Deps,
): Promise<void> {
  requireRight(caller, "administer");
  const key = await findOrRefuse(tx.keys, id, "API key");
  requireVersion(expected, key.version, "API key");
  const now = await accountTime(tx, deps);
  const revokedAt = key.revokedAt ?? deps.clock();
  await tx.keys.update(id, key.version, { revokedAt, updatedAt: now });
  await tx.keyFamily.revoke(id, revokedAt, now);
  await note(tx, deps, now, "key.revoked", id);
}

function insertKey(
  tx: Transaction,
  input: KeyInput,
  key: MadeKey,
  now: Instant,
  deps: Deps,
): Promise<StoredKey> {
  const unused = { parentId: null, revokedAt: null, lastUsedAt: null };
  return tx.keys.insert({ ...fresh(deps, now), ...input, ...key, ...unused });
}

async function requireBounds(tx: Transaction, caller: Caller, input: KeyInput): Promise<void> {
  const missing = lacking(caller, input.scopes);
  if (missing)
    throw refuseField("#/scopes", `must not hold ${missing}, which this key lacks itself`);
  if (input.memberId !== null && !(await tx.members.find(input.memberId))) {
    throw refuseField("#/memberId", "must be the id of a member of this account");
  }
  const ids = input.vehicleIds ?? [];
  for (const [index, id] of ids.entries()) {
    if (!(await tx.vehicles.find(id))) {
      throw refuseField(`#/vehicleIds/${index}`, "must be the id of a vehicle of this account");
    }
  }
}

/** One of these scopes that the caller's own key does not have. */
function lacking({ scopes: held }: Caller, scopes: readonly Scope[]): Scope | undefined {
  return scopes.find((scope) => !held.includes(scope));
}

async function note(tx: Transaction, deps: Deps, now: number, type: EventTypeName, id: string) {
  await tx.machine.write({ events: [eventOf(deps, now, type, { resourceId: id }, {})] }, now);
}
