import type { PoolClient } from "pg";
import type { Prisma } from "./generated/client.ts";

/**
 * The one way to run a statement by hand, whether the transaction was opened by pg or by Prisma.
 * The two read some types differently, so a statement casts its parameters (`$1::uuid`), takes
 * instants as ISO text, and answers dates as text, counts as `int` and instants as milliseconds.
 */
export interface Sql {
  query<Row>(name: string, text: string, values: readonly unknown[]): Promise<Row[]>;
}

export function sqlOfClient(client: PoolClient): Sql {
  return {
    async query<Row>(name: string, text: string, values: readonly unknown[]) {
      const result = await client.query({ name, text, values: [...values] });
      return result.rows as Row[];
    },
  };
}

export function sqlOfPrisma(prisma: Prisma.TransactionClient): Sql {
  return {
    query: <Row>(_name: string, text: string, values: readonly unknown[]) =>
      prisma.$queryRawUnsafe<Row[]>(text, ...values),
  };
}
