import type { FoundPosition, Position, PositionStore } from "../application/worker-position.ts";
import { acrossAccounts } from "./across-accounts.ts";
import type { Connections } from "./client.ts";
import { inMs } from "./sql.ts";

/** True while a hold keeps every worker from sending. */
export const ON_HOLD = "exists (select from worker_position where held_since is not null)";

const LOOK = `select lineages::text[] as lineages, beat::float8 as beat, ${inMs("held_since")} as "heldSince",
    held_why as "heldWhy" from worker_position`;

const ADVANCE = `update worker_position set beat = beat + 1 where held_since is null
  returning lineages[cardinality(lineages)]::text as lineage, beat::float8 as beat`;

const HOLD = `update worker_position set held_since = clock_timestamp(), held_why = $1::text
  where held_since is null`;

/** What was planned before the instant counts as sent: it was, before the copy took the place. */
const TAKE_AS_SENT = `with passed as (
    update reminder r set status = 'sent', sent_at = r.planned_for, version = r.version + 1,
      updated_at = clock_timestamp()
    from account a
    where a.id = r.account_id and not a.sandbox and r.status in ('planned', 'deferred')
      and r.planned_for <= $1::timestamptz
    returning 1
  ), settled as (
    update message m set status = 'suppressed', lease_until = null, lease_token = null,
      last_answer = 'Taken as sent before a copy of the database was restored.',
      version = m.version + 1, updated_at = clock_timestamp()
    from account a
    where a.id = m.account_id and not a.sandbox and m.kind <> 'webhook'
      and m.status in ('waiting', 'sending', 'unknown') and m.created_at <= $1::timestamptz
    returning 1
  )
  select (select count(*) from passed)::int as reminders, (select count(*) from settled)::int as messages`;

const RELEASE = `update worker_position
  set held_since = null, held_why = null, lineages = lineages || gen_random_uuid()`;

export interface ReleasablePositionStore extends PositionStore {
  /** Lets workers go on; what was planned up to `sentUntil` counts as sent, null for nothing. */
  release(sentUntil: string | null): Promise<{ reminders: number; messages: number }>;
}

export function positionStoreOn(connections: Connections): ReleasablePositionStore {
  const across = acrossAccounts(connections);
  return {
    look: () =>
      across(async (sql) => {
        const [found] = await sql.query<FoundPosition>("look-at-position", LOOK, []);
        if (!found) throw new Error("The table worker_position has lost its row.");
        return found;
      }),
    advance: () =>
      across(async (sql) => (await sql.query<Position>("advance", ADVANCE, []))[0] ?? null),
    hold: (why) =>
      across(async (sql) => {
        await sql.query("hold", HOLD, [why]);
      }),
    release: (sentUntil) =>
      across(async (sql) => {
        const taken =
          sentUntil === null
            ? []
            : await sql.query<{ reminders: number; messages: number }>(
                "take-as-sent",
                TAKE_AS_SENT,
                [sentUntil],
              );
        await sql.query("release", RELEASE, []);
        return taken[0] ?? { reminders: 0, messages: 0 };
      }),
  };
}
