import type pg from "pg";
import { LostRace } from "../application/lost-race.ts";
import { Refusal } from "../domain/failure/failure.ts";
import type { Connections } from "./client.ts";
import { sqlState } from "./errors.ts";
import { type InTurn, inTurn, sqlInTurn } from "./in-turn.ts";
import { removedMeanwhile } from "./removed-meanwhile.ts";
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

/**
 * A transaction that may last for minutes, on a connection that nothing else needs.
 * @throws Refusal unavailable when all of them are in use, conflict when a machine stays locked
 */
export async function bulkTransaction<T>(
  bulk: Connections["bulk"],
  accountId: string,
  work: (connection: Bulk) => Promise<T>,
): Promise<T> {
  const { connection, end } = await open(bulk, accountId, "begin");
  try {
    const result = await work(connection);
    await connection.turn(() => connection.client.query("commit"));
    return result;
  } catch (error) {
    return tellBusy(error);
  } finally {
    await end();
  }
}

/**
 * The same to read from, part by part as they are asked for: all parts show the account as it was at
 * one moment. It ends when its reader does.
 */
export async function* bulkSnapshot<T>(
  bulk: Connections["bulk"],
  accountId: string,
  read: (connection: Bulk) => AsyncGenerator<T>,
): AsyncGenerator<T> {
  const begin = "begin isolation level repeatable read read only";
  const { connection, end } = await open(bulk, accountId, begin);
  try {
    yield* read(connection);
  } finally {
    await end();
  }
}

async function open(bulk: Connections["bulk"], accountId: string, begin: string) {
  const client = await connected(bulk);
  const turn = inTurn();
  const connection: Bulk = { client, turn, sql: sqlInTurn(client, turn) };
  const end = async () => {
    // Where all went well it is committed by now, and there is nothing to roll back.
    const failed = await turn(() => client.query("rollback")).then(
      () => undefined,
      (error: Error) => error,
    );
    client.release(failed);
  };
  try {
    await client.query(begin);
    await client.query("select set_config('forewheel.account', $1, true)", [accountId]);
    await client.query(`set local lock_timeout = '${LOCK_WAIT}'`);
    return { connection, end };
  } catch (error) {
    await end();
    throw error;
  }
}

/** One of the connections, waited for as long as the pool says. */
async function connected(bulk: Connections["bulk"]): Promise<pg.PoolClient> {
  try {
    return await bulk.connect();
  } catch (error) {
    const allInUse = bulk.idleCount === 0 && bulk.totalCount >= (bulk.options.max ?? 1);
    throw allInUse ? new Refusal({ kind: "unavailable", retryAfter: RETRY_AFTER }) : error;
  }
}

const WRITTEN = "Another request wrote the same meanwhile. Send this one again.";

/** Tells what another transaction was faster with, or holds, as a conflict; throws on anything else. */
export function tellBusy(error: unknown): never {
  if (error instanceof LostRace) throw conflict(WRITTEN);
  switch (sqlState(error)) {
    case "55P03":
      throw conflict("Another request holds one of these machines. Send this one again.");
    case "23505":
    case "40P01":
      throw conflict(WRITTEN);
    default:
      throw removedMeanwhile(error) ?? error;
  }
}

function conflict(detail: string): Refusal {
  return new Refusal({ kind: "conflict", detail });
}
