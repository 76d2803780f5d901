import type { Sql } from "./sql.ts";

/** Reminders that come later than this after their hour come after an outage. */
const LATE_DAYS = 3;

/**
 * After an outage a member gets one mail, not one for each day of it: where the eldest reminder in
 * messages that wait is late, all of them move into the eldest message. One that is under way, or
 * whose answer was lost, stays: it may have arrived. Whoever has no more than one message waiting,
 * which is everybody on an ordinary day, is left out before any reminder is looked at.
 */
const FOLD = `with crowded as (
    select m.account_id, m.member_id
    from message m join account a on a.id = m.account_id
    where m.kind = 'reminder' and m.status = 'waiting'
      and (($2::uuid is null and not a.sandbox) or a.id = $2::uuid)
    group by m.account_id, m.member_id having count(*) > 1
  ), held as (
    select m.account_id, m.id, m.member_id, m.next_attempt_at, m.give_up_at
    from message m join crowded c on c.account_id = m.account_id and c.member_id = m.member_id
    where m.kind = 'reminder' and m.status = 'waiting'
      and (m.lease_until is null or m.lease_until < clock_timestamp())
    for update of m skip locked
  ), aged as (
    select h.*, (select min(r.planned_for) from reminder r
                 where r.account_id = h.account_id and r.message_id = h.id
                   and r.status in ('planned', 'deferred')) as eldest
    from held h
  ), ranked as (
    select *, first_value(id) over w as into_id, first_value(eldest) over w as first,
           min(next_attempt_at) over whole as soonest, max(give_up_at) over whole as latest,
           count(*) over whole as together
    from aged where eldest is not null
    window whole as (partition by account_id, member_id), w as (whole order by eldest, id)
  ), late as (
    select * from ranked where together > 1 and first < $1::timestamptz - interval '${LATE_DAYS} days'
  ), moved as (
    update reminder r set message_id = l.into_id, version = r.version + 1, updated_at = $1::timestamptz
    from late l
    where r.account_id = l.account_id and r.message_id = l.id and l.id <> l.into_id
      and r.status in ('planned', 'deferred')
  )
  update message m set version = m.version + 1, updated_at = $1::timestamptz,
    status = case when m.id = l.into_id then m.status else 'suppressed' end,
    last_answer = case when m.id = l.into_id then m.last_answer
                       else 'Its reminders went into message ' || l.into_id || ', after an outage.' end,
    -- The whole is tried as soon, and as long, as any of its parts would have been.
    next_attempt_at = case when m.id = l.into_id then l.soonest else m.next_attempt_at end,
    give_up_at = case when m.id = l.into_id then l.latest else m.give_up_at end
  from late l where m.account_id = l.account_id and m.id = l.id
  returning m.id`;

/** Folds what is late into one message a member, in the transaction that gathered it. */
export async function foldLate(sql: Sql, now: string, sandbox: string | null): Promise<void> {
  await sql.send("fold-late", FOLD, [now, sandbox]);
}
