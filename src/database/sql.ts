import type { PoolClient } from "pg";
import type { Prisma } from "./generated/client.ts";

/**
 * The one way to run a statement by hand, whether the transaction was opened by pg or by Prisma.
 * The two read some types differently, so a statement casts its parameters (`$1::uuid`), takes
 * instants as ISO text, and answers dates as text, counts as `int` and instants as milliseconds.
 */
export interface Sql {
  query<Row>(name: string, text: string, values: readonly unknown[]): Promise<Row[]>;
  /** A statement whose answer nobody reads: where it can, it travels on and the commit waits for it. */
  send(name: string, text: string, values: readonly unknown[]): Promise<void>;
}

/** What is sent is added to `underway`, which is to be waited for together with the commit. */
export function sqlOfClient(client: PoolClient, underway: Promise<unknown>[]): Sql {
  const run = (name: string, text: string, values: readonly unknown[]) => {
    inOneWrite(client);
    return client.query({ name, text, values: [...values] });
  };
  return {
    async query<Row>(name: string, text: string, values: readonly unknown[]) {
      return (await run(name, text, values)).rows as Row[];
    },
    async send(name, text, values) {
      const sent = run(name, text, values);
      // It may fail before anybody waits for it; whoever commits is told.
      sent.catch(() => {});
      underway.push(sent);
    },
  };
}

/**
 * Holds back what is sent from now to the end of this turn of the event loop, so that statements
 * which do not wait for one another travel in one write: a write to a socket costs as much as a row.
 */
export function inOneWrite({ connection: { stream } }: PoolClient): void {
  stream.cork();
  process.nextTick(() => stream.uncork());
}

export function sqlOfPrisma(prisma: Prisma.TransactionClient): Sql {
  const query = <Row>(_name: string, text: string, values: readonly unknown[]) =>
    prisma.$queryRawUnsafe<Row[]>(text, ...values);
  return {
    query,
    async send(name, text, values) {
      await query(name, text, values);
    },
  };
}

/** Milliseconds since 1970-01-01 UTC; date_part is reckoned in doubles, extract in slow decimals. */
export function inMs(column: string): string {
  return `round(date_part('epoch', ${column}) * 1000)`;
}
