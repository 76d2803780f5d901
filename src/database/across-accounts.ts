import type { Connections } from "./client.ts";
import { clientTransaction } from "./client-transaction.ts";
import { retrying } from "./retrying.ts";
import type { Sql } from "./sql.ts";

/**
 * Transactions that see the rows of every account, for what the worker does over all of them. Each
 * is tried again as `retrying` says: one that follows an account while it is deleted, for example,
 * can meet the deletion in a deadlock, and the second try finds nothing left.
 */
export function acrossAccounts({ pool }: Pick<Connections, "pool">) {
  return <T>(work: (sql: Sql) => Promise<T>): Promise<T> =>
    retrying(() => clientTransaction(pool, { "forewheel.scope": "worker" }, work));
}
