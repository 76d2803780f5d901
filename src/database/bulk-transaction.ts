import type pg from "pg";
import { Refusal } from "../domain/failure/failure.ts";
import type { Connections } from "./client.ts";
import { sqlState } from "./errors.ts";
import { type InTurn, inTurn, sqlInTurn } from "./in-turn.ts";
import type { Sql } from "./sql.ts";

/** How long one that has its rows together waits for others that hold the same machines. */
const LOCK_WAIT = "30s";
/** Seconds after which one of the connections may be free. */
const RETRY_AFTER = 10;

/** A connection whose statements wait for one another. */
export interface Bulk {
  sql: Sql;
  client: pg.PoolClient;
  turn: InTurn;
}

const OPEN = {
  write: "begin",
  // All of an export shows the account as it was at one moment.
  snapshot: "begin isolation level repeatable read read only",
} as const;

/**
 * A transaction that may last for minutes, on a connection that nothing else needs.
 * @throws Refusal unavailable when all of them are in use, conflict when a machine stays locked
 */
export async function bulkTransaction<T>(
  bulk: Connections["bulk"],
  accountId: string,
  open: keyof typeof OPEN,
  work: (connection: Bulk) => Promise<T>,
): Promise<T> {
  if (bulk.idleCount === 0 && bulk.totalCount >= (bulk.options.max ?? 1)) {
    throw new Refusal({ kind: "unavailable", retryAfter: RETRY_AFTER });
  }
  const client = await bulk.connect();
  const turn = inTurn();
  let broken: Error | undefined;
  try {
    await client.query(OPEN[open]);
    await client.query("select set_config('forewheel.account', $1, true)", [accountId]);
    await client.query(`set local lock_timeout = '${LOCK_WAIT}'`);
    const result = await work({ client, turn, sql: sqlInTurn(client, turn) });
    await turn(() => client.query("commit"));
    return result;
  } catch (error) {
    await turn(() => client.query("rollback")).catch((failed: Error) => {
      broken = failed;
    });
    return tellBusy(error);
  } finally {
    client.release(broken);
  }
}

/** Tells what another transaction was faster with, or holds, as a conflict; throws on anything else. */
export function tellBusy(error: unknown): never {
  switch (sqlState(error)) {
    case "55P03":
      throw conflict("Another request holds one of these machines. Send this one again.");
    case "23505":
    case "40P01":
      throw conflict("Another request wrote the same meanwhile. Send this one again.");
    default:
      throw error;
  }
}

function conflict(detail: string): Refusal {
  return new Refusal({ kind: "conflict", detail });
}
