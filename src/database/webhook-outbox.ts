import type { EventRecord } from "../application/records.ts";
import { deliveryOf } from "../application/webhooks/delivery.ts";
import type { Followed, WebhookLetter, WebhookOutbox } from "../application/webhooks/ports.ts";
import { acrossAccounts } from "./across-accounts.ts";
import type { Connections } from "./client.ts";
import { inMs, type Sql } from "./sql.ts";

/** Endpoints, and events of each, that are followed in one go. */
const ENDPOINTS = 20;
const EVENTS = 200;
/** One endpoint that hangs must not take all places. */
const AT_ONCE = 2;

/**
 * The log of events is the outbox. Endpoints that another follower has in hand are passed over; a
 * transaction older than every running one is settled, only its events are followed, see events.ts.
 */
const FOLLOW = `with behind as (
    select e.account_id, e.id, e.event_types, e.cursor_xid, e.cursor_seq
    from webhook_endpoint e join account a on a.id = e.account_id
    where e.disabled_at is null and (($1::uuid is null and not a.sandbox) or a.id = $1::uuid)
      and exists (select from event v where v.account_id = e.account_id
                    and v.xid < pg_snapshot_xmin(pg_current_snapshot())
                    and (v.xid, v.seq) > (e.cursor_xid, e.cursor_seq))
    limit ${ENDPOINTS} for update of e skip locked
  )
  select b.account_id::text as "accountId", b.id::text as "endpointId", b.event_types as "eventTypes",
    json_agg(json_build_object('id', v.id, 'type', v.type, 'vehicleId', v.vehicle_id,
      'resourceId', v.resource_id, 'data', v.data, 'at', ${inMs("v.at")}) order by v.xid, v.seq) as events,
    (array_agg(json_build_object('xid', v.xid::text, 'seq', v.seq::text) order by v.xid desc, v.seq desc))[1] as cursor
  from behind b cross join lateral (
    select * from event v where v.account_id = b.account_id
      and v.xid < pg_snapshot_xmin(pg_current_snapshot())
      and (v.xid, v.seq) > (b.cursor_xid, b.cursor_seq)
    order by v.xid, v.seq limit ${EVENTS}) v
  group by b.account_id, b.id, b.event_types`;

const DELIVERIES = `with moved as (
    update webhook_endpoint e set cursor_xid = c.xid::xid8, cursor_seq = c.seq::bigint
    from jsonb_to_recordset($2::jsonb) as c ("accountId" uuid, "endpointId" uuid, xid text, seq text)
    where e.account_id = c."accountId" and e.id = c."endpointId"
  )
  insert into message (account_id, id, endpoint_id, kind, dedupe, content, status, next_attempt_at, give_up_at,
                       message_id_header, subject, created_at, updated_at)
  select m."accountId", m.id, m."endpointId", 'webhook', m.dedupe, m.content, 'waiting', m.next, m.until,
         m.header, m.subject, m.next, m.next
  from jsonb_to_recordset($1::jsonb) as m ("accountId" uuid, id uuid, "endpointId" uuid, dedupe text, content jsonb,
    next timestamptz, until timestamptz, header text, subject text)
  on conflict (account_id, dedupe) do nothing`;

/** Every event that can be seen now is of a transaction with a smaller number. */
const END = "select pg_snapshot_xmax(pg_current_snapshot())::text as end";

/** Whether an endpoint of the account has not been told of an event before that end of the log. */
const BEHIND = `select from webhook_endpoint e
  where e.account_id = $1::uuid and e.disabled_at is null
    and exists (select from event v where v.account_id = e.account_id and v.xid < $2::xid8
                  and (v.xid, v.seq) > (e.cursor_xid, e.cursor_seq))
  limit 1`;

/** By endpoint, so that the cost follows the endpoints and not what waits for one of them. */
const WAITING = `select m.account_id::text as "accountId", m.id::text as "messageId"
  from webhook_endpoint e join account a on a.id = e.account_id
  cross join lateral (
    select * from message m
    where m.account_id = e.account_id and m.endpoint_id = e.id and m.status in ('waiting', 'sending', 'unknown')
      and m.next_attempt_at <= $1::timestamptz and (m.lease_until is null or m.lease_until < clock_timestamp())
    order by m.next_attempt_at
    limit greatest(0, ${AT_ONCE} - (select count(*) from message l
      where l.account_id = e.account_id and l.endpoint_id = e.id
        and l.status in ('waiting', 'sending', 'unknown') and l.lease_until >= clock_timestamp()))) m
  where (($2::uuid is null and not a.sandbox) or a.id = $2::uuid)
  order by m.next_attempt_at limit $3::int`;

const NEXT = `select m.id::text as id from message m
  where m.account_id = $1::uuid and m.status in ('waiting', 'sending', 'unknown')
    and m.endpoint_id = (select endpoint_id from message where account_id = $1::uuid and id = $2::uuid)
    and m.next_attempt_at <= $3::timestamptz and (m.lease_until is null or m.lease_until < clock_timestamp())
  order by m.next_attempt_at limit 1`;

const LETTER = `select json_build_object('webhookId', m.message_id_header, 'event', m.content->'event',
    'endpoint', json_build_object('id', e.id, 'url', e.url, 'secretNumber', e.secret_number,
      'overlapEndsAt', ${inMs("e.overlap_ends_at")}, 'disabledAt', ${inMs("e.disabled_at")},
      'disabledWhy', e.disabled_why)) as letter
  from message m join webhook_endpoint e on e.account_id = m.account_id and e.id = m.endpoint_id
  where m.account_id = current_account() and m.id = $1::uuid`;

const PASS_OVER = `update webhook_endpoint
  set cursor_xid = pg_snapshot_xmin(pg_current_snapshot()), cursor_seq = 0
  where account_id = current_account() and id = $1::uuid`;

const AGAIN = `with again as (
    update message set status = 'waiting', attempts = 0, next_attempt_at = $3::timestamptz,
      give_up_at = $3::timestamptz + (give_up_at - created_at), version = version + 1, updated_at = $3::timestamptz
    where account_id = current_account() and endpoint_id = $1::uuid and status = 'failed'
      and created_at >= $2::timestamptz
    returning 1
  )
  select count(*)::int as n from again`;

export function webhookOutboxOn(connections: Connections): WebhookOutbox {
  const across = acrossAccounts(connections);
  return {
    endOfLog: () =>
      across(async (sql) => {
        const [found] = await sql.query<{ end: string }>("end-of-log", END, []);
        return found?.end ?? "0";
      }),
    isBehind: (accountId, end) =>
      across(async (sql) => (await sql.query("behind", BEHIND, [accountId, end])).length > 0),
    follow: (now, ids, sandbox) =>
      across(async (sql) => {
        const followed = await sql.query<Followed>("follow-events", FOLLOW, [sandbox]);
        if (followed.length > 0) await write(sql, followed, now, ids);
        return followed.reduce((sum, { events }) => sum + events.length, 0);
      }),
    waiting: (now, limit, sandbox) =>
      across((sql) => sql.query("waiting-deliveries", WAITING, [iso(now), sandbox, limit])),
    next: (accountId, messageId, now) =>
      across(async (sql) => {
        const values = [accountId, messageId, iso(now)];
        return (await sql.query<{ id: string }>("next-delivery", NEXT, values))[0]?.id ?? null;
      }),
  };
}

async function write(
  sql: Sql,
  followed: readonly Followed[],
  now: number,
  ids: () => string,
): Promise<void> {
  const cursors = followed.map(({ accountId, endpointId, cursor }) => ({
    ...{ accountId, endpointId },
    ...cursor,
  }));
  const rows = followed.flatMap(({ accountId, endpointId, eventTypes, events }) =>
    events
      .filter(({ type }) => eventTypes.length === 0 || eventTypes.includes(type))
      .map((event) => deliveryRow(accountId, endpointId, event, now, ids)),
  );
  await sql.query("write-deliveries", DELIVERIES, [JSON.stringify(rows), JSON.stringify(cursors)]);
}

function deliveryRow(
  accountId: string,
  endpointId: string,
  event: EventRecord,
  now: number,
  ids: () => string,
) {
  const { id, dedupe, content, messageIdHeader, subject, giveUpAt } = deliveryOf(
    endpointId,
    event,
    now,
    { ids },
  );
  const times = { next: iso(now), until: iso(giveUpAt) };
  return { accountId, id, endpointId, dedupe, content, header: messageIdHeader, subject, ...times };
}

export async function webhookLetter(sql: Sql, messageId: string): Promise<WebhookLetter | null> {
  const rows = await sql.query<{ letter: WebhookLetter }>("webhook-letter", LETTER, [messageId]);
  return rows[0]?.letter ?? null;
}

/** The endpoint goes on with what happens from now on. */
export async function passOverEvents(sql: Sql, endpointId: string): Promise<void> {
  await sql.query("pass-over-events", PASS_OVER, [endpointId]);
}

export async function redeliverFailed(
  sql: Sql,
  endpointId: string,
  since: number,
  now: number,
): Promise<number> {
  const rows = await sql.query<{ n: number }>("redeliver-failed", AGAIN, [
    endpointId,
    iso(since),
    iso(now),
  ]);
  return rows[0]?.n ?? 0;
}

function iso(instant: number): string {
  return new Date(instant).toISOString();
}
