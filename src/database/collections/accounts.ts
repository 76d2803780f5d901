import { LostRace } from "../../application/lost-race.ts";
import type { Transaction } from "../../application/ports.ts";
import type { Account } from "../../application/records.ts";
import type { Prisma } from "../generated/client.ts";
import { decodeRow, encodeFields } from "../row.ts";

/** The account itself; its origins stand in a table of their own, and come in alphabetical order. */
export function accounts(
  prisma: Prisma.TransactionClient,
  accountId: string,
): Transaction["accounts"] {
  const find = async (): Promise<Account | null> => {
    const row = await prisma.account.findFirst({
      where: { id: accountId },
      include: { allowedOrigins: { orderBy: { origin: "asc" } } },
    });
    if (!row) return null;
    const { allowedOrigins, ...account } = row;
    return {
      ...decodeRow<Account>(account),
      allowedOrigins: allowedOrigins.map((one) => one.origin),
    };
  };
  const setOrigins = async (origins: readonly string[]): Promise<void> => {
    await prisma.allowedOrigin.deleteMany({ where: { accountId } });
    await prisma.allowedOrigin.createMany({
      data: origins.map((origin) => ({ accountId, origin })),
    });
  };
  return {
    find,
    async insert({ allowedOrigins, ...row }) {
      await prisma.account.create({ data: encodeFields(row, []) as never });
      if (allowedOrigins.length > 0) await setOrigins(allowedOrigins);
      return (await find()) as Account;
    },
    async update(version, { allowedOrigins, ...fields }) {
      const { count } = await prisma.account.updateMany({
        where: { id: accountId, version },
        data: { ...encodeFields(fields, []), version: { increment: 1 } },
      });
      if (count !== 1) throw new LostRace();
      if (allowedOrigins !== undefined) await setOrigins(allowedOrigins);
      return (await find()) as Account;
    },
  };
}
