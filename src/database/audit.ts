import type { AuditStore } from "../application/audit.ts";
import { acrossAccounts } from "./across-accounts.ts";
import type { Connections } from "./client.ts";
import { clientTransaction } from "./client-transaction.ts";

const BEGIN = `insert into audit as a (audited_on, replanned, overlooked, begun_at)
  values (($1::timestamptz at time zone 'UTC')::date, 0, 0, $1::timestamptz)
  on conflict (audited_on) do update set begun_at = excluded.begun_at
    where a.finished_at is null and a.begun_at < excluded.begun_at - interval '1 hour'
  returning 1`;

/** In three parts, so that an index finds the few among many: "other than" is no range of it. */
const BY_OTHERS = `select "accountId", "vehicleId" from (
    ${["v.planned_by < $1::text", "v.planned_by > $1::text", "v.planned_by is null"]
      .map(
        (other) => `(select v.account_id::text as "accountId", v.id::text as "vehicleId"
          from vehicle v join account a on a.id = v.account_id
          where ${other} and not a.sandbox order by v.planned_by, v.id limit $2::int)`,
      )
      .join(" union all ")}
  ) others limit $2::int`;

const ACCOUNTS = `select id::text as id from account
  where not sandbox and ($1::uuid is null or id > $1::uuid) order by id limit $2::int`;

/**
 * Two counts that come from different places. Reminders past their hour by a day without a message;
 * and tasks whose stage was told to followers eight days ago, longer than any quiet days and sending
 * hour put a mail off, though no reminder of that due point was ever planned for a member who is
 * still in the mailing.
 */
const OVERLOOKED = `select (
    (select count(*) from reminder r
     where r.account_id = current_account() and r.status in ('planned', 'deferred') and r.message_id is null
       and r.planned_for < $1::timestamptz - interval '1 day')
    + (select count(*) from task t
       join vehicle v on v.account_id = t.account_id and v.id = t.vehicle_id
       join member m on m.account_id = v.account_id and m.id = v.responsible_member_id
       where t.account_id = current_account() and t.told->>'stage' is not null and not t.paused
         and (t.told->>'stageSince')::float8 < date_part('epoch', $1::timestamptz - interval '8 days') * 1000
         and v.disposed_on is null and m.unsubscribed_at is null
         and not exists (select from reminder r where r.account_id = t.account_id and r.task_id = t.id
                           and r.occurrence = t.told->>'occurrence'))
  )::int as n`;

const END = `update audit set replanned = $2::int, overlooked = $3::int, finished_at = clock_timestamp()
  where audited_on = ($1::timestamptz at time zone 'UTC')::date`;

export function auditStoreOn({ pool }: Connections): AuditStore {
  const across = acrossAccounts({ pool });
  return {
    begin: (now) =>
      across(async (sql) => (await sql.query("begin-audit", BEGIN, [iso(now)])).length === 1),
    plannedByOthers: (plannedBy, limit) =>
      across((sql) => sql.query("planned-by-others", BY_OTHERS, [plannedBy, limit])),
    accounts: (after, limit) =>
      across(async (sql) => {
        const rows = await sql.query<{ id: string }>("audited-accounts", ACCOUNTS, [after, limit]);
        return rows.map(({ id }) => id);
      }),
    overlooked: (accountId, now) =>
      clientTransaction(pool, { "forewheel.account": accountId }, async (sql) => {
        const rows = await sql.query<{ n: number }>("overlooked", OVERLOOKED, [iso(now)]);
        return rows[0]?.n ?? 0;
      }),
    end: (now, { replanned, overlooked }) =>
      across(async (sql) => {
        await sql.query("end-audit", END, [iso(now), replanned, overlooked]);
      }),
  };
}

function iso(instant: number): string {
  return new Date(instant).toISOString();
}
