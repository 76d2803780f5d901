import type { Database } from "../application/database.ts";
import type { Connections } from "./client.ts";
import { clientTransaction } from "./client-transaction.ts";
import { exportsOn } from "./exports/exports.ts";
import type { Prisma } from "./generated/client.ts";
import { answerOnce, answerOnceWith } from "./idempotency.ts";
import { importsOn } from "./imports/imports.ts";
import { loadMachine } from "./machine/load-machine.ts";
import { OPERATOR } from "./operator.ts";
import { openedWith } from "./prisma-pool.ts";
import { retrying } from "./retrying.ts";
import { type Sql, sqlOfPrisma } from "./sql.ts";
import { machineStore, readingByExternalId, sendingOn, transactionOn } from "./transaction.ts";

/** How long a request waits for another that holds the same row or repeats the same key. */
const LOCK_WAIT = "5s";
const PRISMA_LIMITS = { maxWait: 10_000, timeout: 30_000 };

const SCOPE = `select set_config('forewheel.account', $1::text, true), set_config('lock_timeout', '${LOCK_WAIT}', true)`;

/**
 * The only door to a query. Each transaction is told whose rows it sees, by a setting that ends with
 * it: one connection serves all accounts, and a setting of the session would leak across them.
 */
export function databaseOn(connections: Connections): Database {
  const { pool, prisma } = connections;
  const scoped = <T>(
    accountId: string,
    work: (sql: Sql, on: Prisma.TransactionClient) => Promise<T>,
  ): Promise<T> =>
    retrying(() =>
      openedWith({ "forewheel.account": accountId, lock_timeout: LOCK_WAIT }, () =>
        prisma.$transaction((on) => work(sqlOfPrisma(on), on), PRISMA_LIMITS),
      ),
    );
  return {
    imports: importsOn(connections),
    exports: exportsOn(connections),
    asAccount: (accountId, work) =>
      scoped(accountId, (_sql, on) => work(transactionOn(on, accountId))),
    once: (accountId, request, work) =>
      scoped(accountId, (sql, on) =>
        answerOnce(sql, request, () => work(transactionOn(on, accountId))),
      ),
    onceForOperator: (accountId, request, work) =>
      scoped(OPERATOR, (sql, on) =>
        answerOnce(sql, request, async () => {
          await sql.query("scope", SCOPE, [accountId]);
          const answer = await work(transactionOn(on, accountId));
          await sql.query("scope", SCOPE, [OPERATOR]);
          return answer;
        }),
      ),
    forSending: (accountId, work) => {
      const settings = { "forewheel.account": accountId, lock_timeout: LOCK_WAIT };
      return retrying(() => clientTransaction(pool, settings, (sql) => work(sendingOn(sql))));
    },
    onceForReading: ({ accountId, vehicleId }, request, work) => {
      const settings = { "forewheel.account": accountId, lock_timeout: LOCK_WAIT };
      return retrying(() =>
        clientTransaction(pool, settings, (sql) => {
          const look = () => loadMachine(sql, vehicleId, true);
          return answerOnceWith(sql, request, look, (machine) =>
            work({
              accountId,
              machine: { load: async () => machine, write: machineStore(sql).write },
              readingByExternalId: (externalId) => readingByExternalId(sql, externalId),
            }),
          );
        }),
      );
    },
  };
}
