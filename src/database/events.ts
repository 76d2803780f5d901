import type { EventFilter, EventsRead, PageRequest, Position } from "../application/ports.ts";
import type { EventRecord } from "../application/records.ts";
import type { Sql } from "./sql.ts";

/** Events that one answer looks at: where few of them are asked for, a page is short rather than slow. */
const LOOKED_AT = 2_000;

/**
 * Events in the order in which a follower may rely on them, oldest first. Sequence numbers are given
 * out before a transaction commits, so a follower that went by them alone would pass over one that
 * commits late. A transaction older than every running one is settled; only those are shown, ordered
 * by transaction, then by number. The last that was looked at is told with them: a follower goes on
 * from there, whether it was shown or not.
 */
const LIST = `with looked_at as materialized (
    select xid, seq, id, type, vehicle_id, resource_id, data, at from event
    where account_id = current_account() and xid < pg_snapshot_xmin(pg_current_snapshot())
      and (xid, seq) > ($1::text::xid8, $2::text::bigint)
    order by xid, seq limit ${LOOKED_AT}
  ), shown as (
    select xid, seq, jsonb_build_object('id', id, 'type', type, 'vehicleId', vehicle_id,
        'resourceId', resource_id, 'data', data, 'at', (extract(epoch from at) * 1000)::float8) as event
    from looked_at
    where ($3::uuid[] is null or vehicle_id = any($3::uuid[])) and ($4::text is null or type = $4::text)
    order by xid, seq limit $5::int
  )
  select xid::text as key, seq::text as seq, event from shown
  union all
  (select xid::text, seq::text, null from looked_at order by xid desc, seq desc limit 1)`;

interface Row {
  key: string;
  seq: string;
  /** Null in the last row, which tells how far was looked. */
  event: EventRecord | null;
}

/** Before the first. */
const START = { key: "0", id: "0" };

export async function listEvents(
  sql: Sql,
  filter: EventFilter,
  { after, limit }: PageRequest,
): Promise<EventsRead> {
  const from = after ?? START;
  const rows = await sql.query<Row>("list-events", LIST, [
    String(from.key),
    from.id,
    filter.vehicleIds ?? null,
    filter.type ?? null,
    limit + 1,
  ]);
  const found = rows.slice(0, -1);
  const shown = found.slice(0, limit);
  const last = found.length > limit ? shown.at(-1) : rows.at(-1);
  return {
    items: shown.flatMap(({ event }) => event ?? []),
    last: last ? { key: last.key, id: last.seq } : from,
    more: found.length > limit || (await beyond(sql, last)),
  };
}

const BEYOND = `select from event
  where account_id = current_account() and xid < pg_snapshot_xmin(pg_current_snapshot())
    and (xid, seq) > ($1::text::xid8, $2::text::bigint)
  order by xid, seq limit 1`;

/** Whether there is more to look at than one answer does. */
async function beyond(sql: Sql, last: Row | undefined): Promise<boolean> {
  if (!last) return false;
  return (await sql.query("events-beyond", BEYOND, [last.key, last.seq])).length > 0;
}

const END = `select xid::text as key, seq::text as id from event
  where account_id = current_account() and xid < pg_snapshot_xmin(pg_current_snapshot())
  order by xid desc, seq desc limit 1`;

/** Where a follower begins who wants only what is settled from now on. */
export async function endOfEvents(sql: Sql): Promise<Position> {
  const [end] = await sql.query<Position>("end-of-events", END, []);
  return end ?? START;
}
