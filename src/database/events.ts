import type { EventFilter, EventsRead, PageRequest } from "../application/ports.ts";
import type { EventRecord } from "../application/records.ts";
import type { Sql } from "./sql.ts";

/**
 * Events in the order in which a follower may rely on them, oldest first. Sequence numbers are given
 * out before a transaction commits, so a follower that went by them alone would pass over one that
 * commits late. A transaction older than every running one is settled; only those are shown, ordered
 * by transaction, then by number.
 */
const LIST = `select xid::text as key, seq::text as seq,
    jsonb_build_object('id', id, 'type', type, 'vehicleId', vehicle_id, 'resourceId', resource_id,
      'data', data, 'at', (extract(epoch from at) * 1000)::float8) as event
  from event
  where account_id = current_account() and xid < pg_snapshot_xmin(pg_current_snapshot())
    and ($1::text is null or (xid, seq) > ($1::text::xid8, $2::text::bigint))
    and ($3::uuid[] is null or vehicle_id = any($3::uuid[]))
    and ($4::text is null or type = $4::text)
  order by xid, seq limit $5::int`;

export async function listEvents(
  sql: Sql,
  filter: EventFilter,
  { after, limit }: PageRequest,
): Promise<EventsRead> {
  const rows = await sql.query<{ key: string; seq: string; event: EventRecord }>(
    "list-events",
    LIST,
    [
      after ? String(after.key) : null,
      after?.id ?? null,
      filter.vehicleIds ?? null,
      filter.type ?? null,
      limit + 1,
    ],
  );
  const shown = rows.slice(0, limit);
  const last = shown.at(-1);
  return {
    items: shown.map((row) => row.event),
    last: last ? { key: last.key, id: last.seq } : null,
    more: rows.length > limit,
  };
}
