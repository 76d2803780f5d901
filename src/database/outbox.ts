import type { Claimed, Outbox } from "../application/outbox-ports.ts";
import { acrossAccounts } from "./across-accounts.ts";
import type { Connections } from "./client.ts";
import { clientTransaction } from "./client-transaction.ts";
import { digestsDue, postponeDigest } from "./digest-outbox.ts";
import { foldLate } from "./fold-late.ts";
import { healthAt } from "./health.ts";
import { KEPT_HOURS } from "./idempotency.ts";
import { noteReached, noteUnreachable, RELAY_DOWN, takeProbe } from "./relay.ts";
import { inMs } from "./sql.ts";
import { ON_HOLD } from "./worker-position.ts";

/** Reminders taken in one sweep; the next one follows at once while there are more. */
const GATHERED = 1000;
/** After this a message is given up and shown as failed. */
const GIVE_UP_DAYS = 7;

/**
 * One statement, any number of sweepers at once: rows that another holds are passed over. Reminders
 * of one member that fall into the same hour join one message while it waits; a straggler whose
 * message has gone gets one of its own.
 */
const GATHER = `with due as (
    select r.account_id, r.id, r.member_id, 'reminders:' || r.member_id || ':' ||
           to_char(r.planned_for at time zone 'UTC', 'YYYY-MM-DD"T"HH24') as base
    from reminder r join account a on a.id = r.account_id
    where r.status in ('planned', 'deferred') and r.message_id is null and r.planned_for <= $1::timestamptz
      and (($2::uuid is null and not a.sandbox) or a.id = $2::uuid)
    order by r.planned_for, r.id limit ${GATHERED} for update of r skip locked
  ), letters as (
    select account_id, member_id, base, min(id::text) as eldest,
           row_number() over (order by account_id, member_id, base) as n
    from due group by account_id, member_id, base
  ), addressed as (
    select l.*, case when (select m.status <> 'waiting' from message m
                           where m.account_id = l.account_id and m.dedupe = l.base)
                     then l.base || ':' || l.eldest else l.base end as dedupe
    from letters l
  ), made as (
    insert into message (account_id, id, member_id, kind, dedupe, status, next_attempt_at, give_up_at,
                         message_id_header, created_at, updated_at)
    select account_id, i.id, member_id, 'reminder', dedupe, 'waiting', $1::timestamptz,
           $1::timestamptz + interval '${GIVE_UP_DAYS} days', '<message-' || i.id || '@' || $4::text || '>',
           $1::timestamptz, $1::timestamptz
    from addressed join (select id, n from unnest($3::uuid[]) with ordinality as u (id, n)) i using (n)
    on conflict (account_id, dedupe) do update set updated_at = excluded.updated_at where message.status = 'waiting'
    returning account_id, id, dedupe
  )
  update reminder r set message_id = m.id, version = r.version + 1, updated_at = $1::timestamptz
  from due d join addressed ad on ad.account_id = d.account_id and ad.member_id = d.member_id and ad.base = d.base
       join made m on m.account_id = ad.account_id and m.dedupe = ad.dedupe
  where r.account_id = d.account_id and r.id = d.id
  returning r.id`;

const TO_REPLAN = `select v.account_id::text as "accountId", v.id::text as "vehicleId"
  from vehicle v join account a on a.id = v.account_id
  where v.replan_at <= $1::timestamptz and (($2::uuid is null and not a.sandbox) or a.id = $2::uuid)
  order by v.replan_at limit $3::int`;

/**
 * A message that broke off twice may be what ends its worker, and those that were sent beside it look
 * the same: such are woken one at a time, so that the others come through.
 */
const FIRST_SUSPECT = `(select id from message
  where status = 'sending' and broken_off > 0 and lease_until < clock_timestamp()
  order by next_attempt_at, id limit 1)`;

const WAITING = `select m.account_id::text as "accountId", m.id::text as "messageId"
  from message m join account a on a.id = m.account_id
  where m.status in ('waiting', 'sending', 'unknown') and m.next_attempt_at <= $1::timestamptz
    and (m.lease_until is null or m.lease_until < clock_timestamp())
    and (($2::uuid is null and not a.sandbox) or a.id = $2::uuid)
    and (m.kind = 'webhook') = ($4::text = 'webhook')
    and ($4::text = 'webhook' or a.sandbox or not ${RELAY_DOWN})
    and (m.status <> 'sending' or m.broken_off = 0 or m.id = ${FIRST_SUSPECT})
  order by m.next_attempt_at limit $3::int`;

/** One that is found still "sending" was broken off: whoever sent it died, or stalled past its lease. */
const CLAIM = `with free as (
    select account_id, id, status as was from message
    where account_id = $1::uuid and id = $2::uuid and status in ('waiting', 'sending', 'unknown')
      and (lease_until is null or lease_until < clock_timestamp())
      and not ($6::boolean and ${ON_HOLD})
      and ($5::boolean or (next_attempt_at <= $4::timestamptz
                            and (not $6::boolean or kind = 'webhook' or not ${RELAY_DOWN})))
    for update
  )
  update message m set status = 'sending', attempts = attempts + 1, lease_token = gen_random_uuid(),
    broken_off = broken_off + (was = 'sending')::int,
    lease_until = clock_timestamp() + $3::float8 * interval '1 millisecond', version = version + 1,
    updated_at = $4::timestamptz
  from free where m.account_id = free.account_id and m.id = free.id
  returning m.account_id::text as "accountId", m.id::text as "messageId", kind, lease_token::text as "leaseToken",
    attempts, broken_off as "brokenOff", was in ('sending', 'unknown') as "again",
    ${inMs("created_at")} as "since",
    (select failures > 0 from relay where name = 'smtp') as "relayFailed"`;

const STILL_HELD = `select from message where account_id = $1::uuid and id = $2::uuid and lease_token = $3::uuid
  and lease_until > clock_timestamp() + $4::float8 * interval '1 millisecond'`;

const NEXT_MOMENT = `select (extract(epoch from least(
    (select min(planned_for) from reminder where account_id = $1::uuid and status in ('planned', 'deferred') and message_id is null),
    (select min(replan_at) from vehicle where account_id = $1::uuid),
    (select min(at) from next_digest where account_id = $1::uuid),
    (select min(next_attempt_at) from message where account_id = $1::uuid and status in ('waiting', 'unknown'))
  )) * 1000)::float8 as moment`;

const FORGET: Record<string, string> = {
  "forget-answers": `delete from idempotency where created_at < now() - interval '${KEPT_HOURS} hours'`,
  "forget-short-lived-keys": `delete from api_key
    where parent_id is not null and expires_at < now() - interval '1 day'`,
  "forget-counts": "delete from rate_count where ends_at < now()",
};

const POSTPONE = `update vehicle set replan_at = $3::timestamptz where account_id = $1::uuid and id = $2::uuid`;

export function outboxOn({ pool }: Connections): Outbox {
  const across = acrossAccounts({ pool });
  return {
    async time() {
      const { rows } = await pool.query<{ now: number }>(
        "select (extract(epoch from now()) * 1000)::float8 as now",
      );
      return Math.floor(rows[0]?.now ?? Number.NaN);
    },
    toReplan: (now, limit, sandbox) =>
      across((sql) => sql.query("machines-to-replan", TO_REPLAN, [iso(now), sandbox, limit])),
    postponeReplan: (accountId, vehicleId, until) =>
      clientTransaction(pool, { "forewheel.account": accountId }, async (sql) => {
        await sql.query("postpone-replan", POSTPONE, [accountId, vehicleId, iso(until)]);
      }),
    gather: (now, ids, domain, sandbox) =>
      across(async (sql) => {
        const fresh = Array.from({ length: GATHERED }, () => ids());
        const values = [iso(now), sandbox, fresh, domain];
        const gathered = await sql.query("gather-reminders", GATHER, values);
        await foldLate(sql, iso(now), sandbox);
        return gathered.length;
      }),
    digestsDue: (now, limit, sandbox) => across((sql) => digestsDue(sql, iso(now), sandbox, limit)),
    postponeDigest: (accountId, memberId, at) =>
      across((sql) => postponeDigest(sql, accountId, memberId, iso(at))),
    waiting: (channel, now, limit, sandbox) =>
      across((sql) => sql.query("waiting-messages", WAITING, [iso(now), sandbox, limit, channel])),
    claim: (accountId, messageId, leaseMs, now, { probe, relays }) =>
      across(async (sql) => {
        const values = [accountId, messageId, leaseMs, iso(now), probe, relays];
        return (await sql.query<Claimed>("claim-message", CLAIM, values))[0] ?? null;
      }),
    stillHeld: ({ accountId, messageId, leaseToken }, ms) =>
      across(async (sql) => {
        const values = [accountId, messageId, leaseToken, ms];
        return (await sql.query("lease-still-held", STILL_HELD, values)).length === 1;
      }),
    noteUnreachable: () => across(noteUnreachable),
    noteReached: () => across(noteReached),
    takeProbe: () => across(takeProbe),
    nextMoment: (sandbox) =>
      across(async (sql) => {
        const rows = await sql.query<{ moment: number | null }>("next-moment", NEXT_MOMENT, [
          sandbox,
        ]);
        return rows[0]?.moment ?? null;
      }),
    forgetExpired: () =>
      across(async (sql) => {
        for (const [name, text] of Object.entries(FORGET)) await sql.query(name, text, []);
      }),
    health: (now) => across((sql) => healthAt(sql, now)),
  };
}

function iso(instant: number): string {
  return new Date(instant).toISOString();
}
