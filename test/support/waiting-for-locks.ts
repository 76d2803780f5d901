import type { Client } from "pg";

/**
 * Statements in the client's database that wait for a lock just now. Within a transaction a look at
 * others shows what the first one showed, unless that is forgotten.
 */
export async function waitingForLocks(client: Client): Promise<string[]> {
  await client.query("select pg_stat_clear_snapshot()");
  const { rows } = await client.query<{ query: string }>(
    "select query from pg_stat_activity where datname = current_database() and wait_event_type = 'Lock'",
  );
  return rows.map(({ query }) => query);
}
