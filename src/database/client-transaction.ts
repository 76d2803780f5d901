import pg from "pg";
import { inOneWrite, type Sql, sqlOfClient } from "./sql.ts";

/** Settings that end with the transaction: whose rows it sees, how long it waits for a lock or a disk. */
export type Settings = Partial<
  Record<
    | "forewheel.account"
    | "forewheel.key"
    | "forewheel.origin"
    | "forewheel.scope"
    | "lock_timeout"
    | "synchronous_commit",
    string
  >
>;

/**
 * A transaction on pg's own client, for statements in a hurry. Its opening is not waited for: it
 * travels ahead of the first statement, and what was sent last travels with the commit. Should the
 * opening fail, row-level security lets none of them see or write a row.
 */
export async function clientTransaction<T>(
  pool: pg.Pool,
  settings: Settings,
  work: (sql: Sql) => Promise<T>,
): Promise<T> {
  const client = await pool.connect();
  inOneWrite(client);
  const opened = client.query(opening(settings));
  opened.catch(() => {});
  const underway: Promise<unknown>[] = [opened];
  let broken: Error | undefined;
  try {
    const result = await work(sqlOfClient(client, underway));
    // After a statement that failed the server takes a commit for a rollback.
    await Promise.all([...underway, client.query("commit")]);
    return result;
  } catch (error) {
    await client.query("rollback").catch((failed: Error) => {
      broken = failed;
    });
    throw error;
  } finally {
    client.release(broken);
  }
}

/** One statement in a transaction of its own, all of which travels in one write and is waited for once. */
export async function clientStatement<Row>(
  pool: pg.Pool,
  settings: Settings,
  statement: { name: string; text: string; values: unknown[] },
): Promise<Row[]> {
  const client = await pool.connect();
  inOneWrite(client);
  const [opened, answered, ended] = await Promise.allSettled([
    client.query(opening(settings)),
    client.query(statement),
    client.query("commit"),
  ]);
  client.release(ended.status === "rejected");
  for (const one of [opened, ended]) if (one.status === "rejected") throw one.reason;
  if (answered.status === "rejected") throw answered.reason;
  return answered.value.rows as Row[];
}

/** The text that begins a transaction with its settings. */
export function opening(settings: Settings): string {
  return `begin; select ${Object.entries(settings).map(setting).join(", ")}`;
}

function setting([name, value]: [string, string]): string {
  return `set_config(${pg.escapeLiteral(name)}, ${pg.escapeLiteral(value)}, true)`;
}
