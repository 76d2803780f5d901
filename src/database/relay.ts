import type { Sql } from "./sql.ts";

/** Failures in a row, over all workers, after which the mail server is taken to be down. */
const FAILURES = 3;
/** While it is down one message is tried each so often. */
const PROBE_SECONDS = 30;

/** True while nobody but a probe may hand anything to the mail server. */
export const RELAY_DOWN =
  "exists (select from relay where name = 'smtp' and down_since is not null)";

const FAILED = `update relay set failures = failures + 1,
    down_since = case when failures + 1 >= ${FAILURES} then coalesce(down_since, clock_timestamp()) end,
    probe_at = case when failures + 1 >= ${FAILURES} then clock_timestamp() + interval '${PROBE_SECONDS} seconds' end
  where name = 'smtp'`;

const REACHED = `update relay set failures = 0, down_since = null, probe_at = null
  where name = 'smtp' and failures > 0`;

const PROBE = `with turn as (
    update relay set probe_at = clock_timestamp() + interval '${PROBE_SECONDS} seconds'
    where name = 'smtp' and down_since is not null and probe_at <= clock_timestamp()
    returning 1
  )
  select m.account_id::text as "accountId", m.id::text as "messageId"
  from message m join account a on a.id = m.account_id
  where exists (select from turn) and m.status in ('waiting', 'sending', 'unknown') and m.kind <> 'webhook'
    and (m.lease_until is null or m.lease_until < clock_timestamp()) and not a.sandbox
  order by m.next_attempt_at limit 1`;

/** Nobody could be reached: counted, so that all workers stop trying together. */
export async function noteUnreachable(sql: Sql): Promise<void> {
  await sql.query("relay-failed", FAILED, []);
}

/** Somebody answered: everything that waits may go. */
export async function noteReached(sql: Sql): Promise<void> {
  await sql.query("relay-reached", REACHED, []);
}

/** The message to try a server with that is taken to be down; null when it is not the time. */
export async function takeProbe(
  sql: Sql,
): Promise<{ accountId: string; messageId: string } | null> {
  const rows = await sql.query<{ accountId: string; messageId: string }>("relay-probe", PROBE, []);
  return rows[0] ?? null;
}
