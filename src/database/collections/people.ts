import type { Collection, MemberFilter, StoredKey } from "../../application/ports.ts";
import type { Member } from "../../application/records.ts";
import type { Prisma } from "../generated/client.ts";
import { collectionOn, type Delegate } from "./collection.ts";
import { given, since } from "./filters.ts";

export function members(
  prisma: Prisma.TransactionClient,
  accountId: string,
): Collection<Member, MemberFilter> {
  return collectionOn<Member, MemberFilter>(prisma.member as unknown as Delegate, accountId, {
    order: "createdAt",
    indexed: ["id", "externalId"],
    where: ({ ids, externalId, updatedAfter }) =>
      given({ externalId, updatedAt: since(updatedAfter), id: ids && { in: ids } }),
  });
}

export function keys(
  prisma: Prisma.TransactionClient,
  accountId: string,
): Collection<StoredKey, Record<string, never>> {
  return collectionOn<StoredKey, Record<string, never>>(
    prisma.apiKey as unknown as Delegate,
    accountId,
    {
      order: "createdAt",
      where: () => ({}),
      // An empty list in the row would mean a key that sees nothing; the column is null for "all".
      read: (row) =>
        ({
          ...row,
          vehicleIds: (row.vehicleIds as string[]).length === 0 ? null : row.vehicleIds,
        }) as unknown as StoredKey,
      write: ({ vehicleIds, ...fields }) =>
        vehicleIds === undefined ? fields : { ...fields, vehicleIds: vehicleIds ?? [] },
    },
  );
}
