import type { Claimed, Outcome, Sent, SettledReminder } from "../application/outbox-ports.ts";
import type { Sql } from "./sql.ts";

const NOTE = `with noted as (
    update message set status = $3::text, attempts = attempts - $14::int, broken_off = broken_off + $15::int, last_answer = $4::text, lease_until = null, lease_token = null,
      next_attempt_at = coalesce($5::timestamptz, next_attempt_at),
      sent_at = case when $3::text = 'sent' then $6::timestamptz else sent_at end,
      subject = coalesce($7::text, subject), text = coalesce($8::text, text), html = coalesce($9::text, html),
      headers = coalesce($10::jsonb, headers), attachments = coalesce($11::jsonb, attachments),
      address = coalesce($12::text, address), version = version + 1, updated_at = $6::timestamptz
    where account_id = current_account() and id = $1::uuid and lease_token = $2::uuid
    returning account_id, id
  ), carried as (
    update reminder r set
      status = case when $3::text in ('sent', 'failed') then $3::text else r.status end,
      sent_at = case when $3::text = 'sent' then $6::timestamptz else r.sent_at end,
      expected_day = coalesce(e.day, r.expected_day), version = r.version + 1, updated_at = $6::timestamptz
    from noted n, jsonb_to_recordset($13::jsonb) as e (id uuid, day float8)
    where r.account_id = n.account_id and r.message_id = n.id and r.id = e.id and r.status in ('planned', 'deferred')
    returning r.*
  ), given_up as (
    update reminder r set status = 'failed', version = r.version + 1, updated_at = $6::timestamptz
    from noted n
    where $3::text = 'failed' and $13::jsonb = '[]'::jsonb and r.account_id = n.account_id
      and r.message_id = n.id and r.status in ('planned', 'deferred')
    returning r.*
  ), dropped as (
    update reminder r set status = 'cancelled', cancelled_by = 'plan', version = r.version + 1,
      why = jsonb_build_object('by', 'notSent', 'detail', $4::text), updated_at = $6::timestamptz
    from noted n
    where $3::text = 'suppressed' and r.account_id = n.account_id and r.message_id = n.id
      and r.status in ('planned', 'deferred')
  )
  select coalesce(json_agg(json_build_object('id', r.id, 'vehicleId', r.vehicle_id, 'taskId', r.task_id,
      'stage', r.stage) order by r.id) filter (where r.id is not null), '[]') as settled
  from noted n
  left join (select * from carried union all select * from given_up) r on r.status in ('sent', 'failed')
  group by n.id`;

/**
 * Notes an outcome where the lease's token still matches, on the message and on the reminders that
 * it carried, in one statement; answers the reminders that are sent or failed by it.
 */
export async function noteOutcome(
  sql: Sql,
  claimed: Claimed,
  outcome: Outcome,
  sent: Sent | null,
  now: number,
): Promise<SettledReminder[] | null> {
  const rendered = sent?.rendered;
  const rows = await sql.query<{ settled: SettledReminder[] }>("note-outcome", NOTE, [
    claimed.messageId,
    claimed.leaseToken,
    outcome.status,
    outcome.answer,
    "nextAttemptAt" in outcome ? new Date(outcome.nextAttemptAt).toISOString() : null,
    new Date(now).toISOString(),
    rendered?.subject ?? null,
    rendered?.text ?? null,
    rendered?.html ?? null,
    rendered ? JSON.stringify(rendered.headers) : null,
    rendered ? JSON.stringify(rendered.attachments) : null,
    sent?.address ?? null,
    JSON.stringify(sent?.expectedDays ?? []),
    "uncounted" in outcome ? 1 : 0,
    "brokenOff" in outcome ? 1 : 0,
  ]);
  return rows[0]?.settled ?? null;
}
