import type {
  Collection,
  KeyFamily,
  KeyFilter,
  MemberFilter,
  StoredKey,
} from "../../application/ports.ts";
import type { Member } from "../../application/records.ts";
import type { Prisma } from "../generated/client.ts";
import { sqlOfPrisma } from "../sql.ts";
import { collectionOn, type Delegate } from "./collection.ts";
import { given, since } from "./filters.ts";

export function members(
  prisma: Prisma.TransactionClient,
  accountId: string,
): Collection<Member, MemberFilter> {
  return collectionOn<Member, MemberFilter>(() => prisma.member as unknown as Delegate, accountId, {
    order: "createdAt",
    indexed: ["id", "externalId"],
    where: ({ externalId, role, ids, updatedAfter }) =>
      given({ externalId, role, id: ids && { in: ids }, updatedAt: since(updatedAfter) }),
  });
}

export function keys(
  prisma: Prisma.TransactionClient,
  accountId: string,
): Collection<StoredKey, KeyFilter> {
  return collectionOn<StoredKey, KeyFilter>(() => prisma.apiKey as unknown as Delegate, accountId, {
    order: "createdAt",
    where: ({ shortLived = false, memberId, updatedAfter }) => ({
      ...given({ memberId, updatedAt: since(updatedAfter) }),
      parentId: shortLived ? { not: null } : null,
    }),
    // An empty list in the row would mean a key that sees nothing; the column is null for "all".
    read: (row) =>
      ({
        ...row,
        vehicleIds: (row.vehicleIds as string[]).length === 0 ? null : row.vehicleIds,
      }) as unknown as StoredKey,
    write: ({ vehicleIds, ...fields }) =>
      vehicleIds === undefined ? fields : { ...fields, vehicleIds: vehicleIds ?? [] },
  });
}

const LOCK = `select id from api_key where account_id = current_account() and id = $1::uuid for update`;

export function keyFamily(prisma: Prisma.TransactionClient, accountId: string): KeyFamily {
  const sql = sqlOfPrisma(prisma);
  const change = async (where: object, data: object, now: number) => {
    const marks = { updatedAt: new Date(now), version: { increment: 1 } };
    await prisma.apiKey.updateMany({ where: { accountId, ...where }, data: { ...data, ...marks } });
  };
  return {
    async lock(keyId) {
      await sql.query("lock-key", LOCK, [keyId]);
    },
    async expire(parentId, at, now) {
      const expiresAt = new Date(at);
      await change({ parentId, expiresAt: { gt: expiresAt } }, { expiresAt }, now);
    },
    async revoke(parentId, at, now) {
      await change({ parentId, revokedAt: null }, { revokedAt: new Date(at) }, now);
    },
  };
}
