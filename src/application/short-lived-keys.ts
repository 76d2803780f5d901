import { Refusal, refuseField } from "../domain/failure/failure.ts";
import type { MadeKey } from "./accounts.ts";
import { type Caller, seesVehicle } from "./caller.ts";
import { accountTime, type Deps, eventOf, fresh } from "./deps.ts";
import { holdsScope } from "./holds-scope.ts";
import type { StoredKey, Transaction } from "./ports.ts";
import type { Scope } from "./records.ts";

export interface ShortLivedKeyInput {
  name: string;
  /** Never `admin`. */
  scopes: Exclude<Scope, "admin">[];
  /** Null: bound as the key is that makes it. */
  memberId: string | null;
  vehicleIds: string[] | null;
  minutes: number;
}

/**
 * A key for a while, with no more rights than the key that makes it: for a page in a browser, which
 * can keep nothing secret for long. It ends with its parent.
 */
export async function addShortLivedKey(
  tx: Transaction,
  caller: Caller,
  input: ShortLivedKeyInput,
  key: MadeKey,
  deps: Deps,
): Promise<StoredKey> {
  if (caller.shortLived) {
    throw new Refusal({ kind: "forbidden", need: "a key that is not short-lived itself" });
  }
  requireHeldScopes(caller, input.scopes);
  await tx.keyFamily.lock(caller.keyId);
  const parent = await tx.keys.find(caller.keyId);
  if (!parent || parent.revokedAt !== null) {
    throw new Refusal({ kind: "forbidden", need: "a key that has not been revoked" });
  }
  const memberId = await boundMember(tx, caller, input.memberId);
  const vehicleIds = await boundVehicles(tx, { ...caller, ...(memberId && { memberId }) }, input);
  const ends = deps.clock() + input.minutes * 60_000;
  const now = await accountTime(tx, deps);
  const made = await tx.keys.insert({
    ...{ ...fresh(deps, now), ...key, name: input.name, scopes: input.scopes },
    ...{ memberId, vehicleIds, parentId: parent.id, revokedAt: null, lastUsedAt: null },
    expiresAt: Math.min(ends, parent.expiresAt ?? ends),
  });
  const subject = { resourceId: made.id };
  await tx.machine.write({ events: [eventOf(deps, now, "key.added", subject, {})] }, now);
  return made;
}

function requireHeldScopes(caller: Caller, scopes: readonly Scope[]): void {
  const at = scopes.findIndex((scope) => !holdsScope(caller, scope));
  if (at >= 0) throw refuseField(`#/scopes/${at}`, "must be a scope that the key has itself");
}

/** A key that is bound to a member hands on that member's rights and no other's. */
async function boundMember(
  tx: Transaction,
  caller: Caller,
  asked: string | null,
): Promise<string | null> {
  const memberId = asked ?? caller.memberId ?? null;
  if (caller.memberId !== undefined && memberId !== caller.memberId) {
    throw refuseField("#/memberId", "must be the member that the key itself is bound to");
  }
  if (memberId !== null && !(await tx.members.find(memberId))) {
    throw refuseField("#/memberId", "must be the id of a member of this account");
  }
  return memberId;
}

async function boundVehicles(
  tx: Transaction,
  caller: Caller,
  { vehicleIds }: ShortLivedKeyInput,
): Promise<string[] | null> {
  if (vehicleIds === null) return caller.vehicleIds ? [...caller.vehicleIds] : null;
  for (const [index, id] of vehicleIds.entries()) {
    const vehicle = await tx.vehicles.find(id);
    if (!vehicle || !seesVehicle(caller, vehicle)) {
      throw refuseField(`#/vehicleIds/${index}`, "must be the id of a vehicle that the key sees");
    }
  }
  return vehicleIds;
}
