import type { DigestNews, DigestStore } from "../application/mail/digest-store.ts";
import { inMs, type Sql } from "./sql.ts";

/** Lines of a kind that a digest has room for; of the rest it gives the number. */
const LINES = 10;
/** Longer than a message is tried: what failed since then was written within these days before. */
const TRIED_DAYS = 10;

const DUE = `select d.account_id::text as "accountId", d.member_id::text as "memberId"
  from next_digest d join account a on a.id = d.account_id
  where d.at <= $1::timestamptz and (($2::uuid is null and not a.sandbox) or a.id = $2::uuid)
  order by d.at limit $3::int`;

/** Whose digest is to be written now, the longest due first. */
export function digestsDue(
  sql: Sql,
  now: string,
  sandbox: string | null,
  limit: number,
): Promise<{ accountId: string; memberId: string }[]> {
  return sql.query("digests-due", DUE, [now, sandbox, limit]);
}

const POSTPONE = `update next_digest set at = $3::timestamptz
  where account_id = $1::uuid and member_id = $2::uuid`;

/** One that cannot be written is tried again later. */
export async function postponeDigest(
  sql: Sql,
  accountId: string,
  memberId: string,
  at: string,
): Promise<void> {
  await sql.send("postpone-digest", POSTPONE, [accountId, memberId, at]);
}

const PLAN = `insert into next_digest (account_id, member_id, at)
  values (current_account(), $1::uuid, $2::timestamptz)
  on conflict (account_id, member_id) do update set at = excluded.at
  where next_digest.at > $3::timestamptz and next_digest.at <> excluded.at`;

const PLAN_NONE =
  "delete from next_digest where account_id = current_account() and member_id = $1::uuid";

/** Several sweepers at once: the row that another one is at is passed over. */
const TAKE = `with due as (
    select member_id from next_digest
    where account_id = current_account() and member_id = $1::uuid and at <= $2::timestamptz
    for update skip locked
  )
  delete from next_digest d using due
  where d.account_id = current_account() and d.member_id = due.member_id
  returning ${inMs("d.at")} as at`;

/** A member's digests, by the index on (account_id, dedupe): the planned instant ends their key. */
const OF_MEMBER = `account_id = current_account() and kind = 'digest' and member_id = $1::uuid
  and dedupe between 'digest:' || $1::text || ':0000' and 'digest:' || $1::text || ':9999'`;

const LAST_FROM = `select content->>'from' as "from" from message
  where ${OF_MEMBER} order by dedupe desc limit 1`;

const LAST_SENT = `select ${inMs("sent_at")} as at from message
  where ${OF_MEMBER} and status = 'sent' order by dedupe desc limit 1`;

/** One that is under way, or whose answer was lost, stays: it may have arrived. */
const CALL_OFF = `update message set status = 'suppressed', last_answer = $2::text, version = version + 1,
    updated_at = $3::timestamptz
  where ${OF_MEMBER} and status = 'waiting' and (lease_until is null or lease_until < clock_timestamp())`;

const listed = (rows: string, item: string, order: string): string =>
  `(select json_build_object('count', count(*), 'items', coalesce(json_agg(${item} order by ${order})
      filter (where n <= ${LINES}), '[]'))
    from (select *, row_number() over (order by ${order}) as n from ${rows}) lines)`;

const TITLES = `(select coalesce(json_agg(t.title order by t.title), '[]') from work_task t
  where t.account_id = work.account_id and t.work_record_id = work.id)`;

const NEWS = `with work as (
    select w.account_id, w.id, w.done_on, v.name as machine
    from work_record w join vehicle v on v.account_id = w.account_id and v.id = w.vehicle_id
    where w.account_id = current_account() and w.created_at > $1::timestamptz and w.status <> 'void'
      and ($2::uuid is null or v.responsible_member_id = $2::uuid)
  ), told_work as (select machine, done_on, id, ${TITLES} as titles from work),
  failed as (
    select m.updated_at, m.id, m.kind, m.last_answer as answer, p.name as member
    from message m left join member p on p.account_id = m.account_id and p.id = m.member_id
    where m.account_id = current_account() and m.status = 'failed' and m.updated_at > $1::timestamptz
      and m.created_at > $1::timestamptz - interval '${TRIED_DAYS} days'
      and ($2::uuid is null or m.member_id = $2::uuid)
  ), mails as (select * from failed where kind <> 'webhook' and member is not null),
  refused as (
    select name as member, id, email_suppressed as answer from member
    where account_id = current_account() and email_suppressed is not null and $2::uuid is null
  )
  select json_build_object(
    'work', ${listed("told_work", "json_build_object('machine', machine, 'on', done_on, 'titles', titles)", "done_on desc, id desc")},
    'undelivered', ${listed("mails", "json_build_object('member', member, 'answer', coalesce(answer, ''))", "updated_at desc, id desc")},
    'refused', ${listed("refused", "json_build_object('member', member, 'answer', answer)", "member, id")},
    'failedDeliveries', (select count(*) from failed where kind = 'webhook')) as news`;

/** The digests of the transaction's account. */
export function digestStore(sql: Sql): DigestStore {
  return {
    async plan(memberId, at, now) {
      if (at === null) return sql.send("plan-no-digest", PLAN_NONE, [memberId]);
      await sql.send("plan-digest", PLAN, [memberId, iso(at), iso(now)]);
    },
    async take(memberId, now) {
      const values = [memberId, iso(now)];
      return (await sql.query<{ at: number }>("take-digest", TAKE, values))[0]?.at ?? null;
    },
    async lastFrom(memberId) {
      const rows = await sql.query<{ from: string }>("last-digest", LAST_FROM, [memberId]);
      return rows[0]?.from ?? null;
    },
    async lastSentAt(memberId) {
      const rows = await sql.query<{ at: number }>("last-digest-sent", LAST_SENT, [memberId]);
      return rows[0]?.at ?? null;
    },
    callOff: (memberId, why, now) =>
      sql.send("call-off-digests", CALL_OFF, [memberId, why, iso(now)]),
    async news(since, memberId) {
      const values = [iso(since), memberId];
      const [row] = await sql.query<{ news: DigestNews }>("digest-news", NEWS, values);
      if (!row) throw new Error("The news are always answered.");
      return row.news;
    },
  };
}

function iso(instant: number): string {
  return new Date(instant).toISOString();
}
