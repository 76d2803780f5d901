import pg from "pg";
import { PLANNED_BY } from "../../../src/application/machine/planned-by.ts";

/** How much one account has, in rows. */
export const FLEET = { vehicles: 10_000, tasks: 3, readings: 4, members: 3_000 };

/**
 * Fills the account with machines as they would be after a year: tasks whose days were told, readings,
 * work, reminders, mail and events. All of it is invented.
 */
export async function fillFleet(ownerUrl: string, accountId: string): Promise<void> {
  const client = new pg.Client({ connectionString: ownerUrl });
  await client.connect();
  try {
    for (const text of STATEMENTS)
      await client.query(text.replaceAll(":account", `'${accountId}'`));
    await client.query("vacuum analyze");
  } finally {
    await client.end();
  }
}

const { vehicles, tasks, readings, members } = FLEET;
const STORED = "created_at, updated_at";
/** Each a second after the one before, so that lists have an order. */
const when = (n: string) => `timestamptz '2025-01-01' + ${n} * interval '1 second'`;
const both = (n: string) => `${when(n)}, ${when(n)}`;

const STATEMENTS = [
  `insert into member (account_id, id, name, email, email_confirmed_at, role, locale, time_zone, unit, reminders, external_id, ${STORED})
   select :account, gen_random_uuid(), 'Rider ' || n, 'rider' || n || '@example.org', now(), 'rider', 'en', 'UTC', 'km',
     '{"leadDays":21,"leadDistance":null,"sendingHour":8,"quietDays":[],"askForReadings":true,"digest":"none"}', 'member-' || n, ${both("n")}
   from generate_series(1, ${members}) n`,
  `insert into schedule (account_id, id, name, lines, ${STORED})
   select :account, gen_random_uuid(), 'Schedule ' || n, '[]', ${both("n")} from generate_series(1, 100) n`,
  `insert into vehicle (account_id, id, name, kind, meter_unit, group_name, responsible_member_id, schedule_id, external_id, replan_at, planned_by, ${STORED})
   select :account, gen_random_uuid(), 'Number ' || n, (array['motorcycle','moped','car'])[1 + n % 3], 'km', 'Group ' || n % 100,
     m.ids[1 + n % ${members}], s.ids[1 + n % 100], 'vehicle-' || n, now() + interval '30 days',
     case when n > 20 then '${PLANNED_BY}' end, ${both("n")}
   from generate_series(1, ${vehicles}) n,
     (select array_agg(id order by created_at) ids from member where account_id = :account and role = 'rider') m,
     (select array_agg(id order by created_at) ids from schedule where account_id = :account) s`,
  `insert into task (account_id, id, vehicle_id, title, kind, every_limits, whichever, repeat_from, counts_from, stated_work, told, schedule_id, schedule_line, ${STORED})
   select v.account_id, gen_random_uuid(), v.id, 'Task ' || n, 'recurring', '{"distance":6000,"months":12}', 'first', 'completion', 'work',
     '{"on":"2025-06-01","reading":1000}',
     jsonb_build_object('occurrence', 'work:2025-06-01', 'from', day, 'most', day + 20, 'to', day + 40, 'again', 300,
       'stage', null, 'stageDay', null, 'stageSince', null, 'sequence', 0, 'since', 1735689600000),
     v.schedule_id, gen_random_uuid(), v.created_at, v.updated_at
   from vehicle v, generate_series(1, ${tasks}) n, lateral (select 20700 + random() * 600 * n as day where v.id is not null) d
   where v.account_id = :account`,
  `insert into reading (account_id, id, vehicle_id, meter, at, value, unit, total, status, source, external_id, ${STORED})
   select v.account_id, gen_random_uuid(), v.id, 'distance', timestamptz '2025-06-01' + n * interval '60 days', 1000 * n, 'km', 1000 * n,
     'accepted', 'rider', 'reading-' || v.external_id || '-' || n, ${both("n")}
   from vehicle v, generate_series(1, ${readings}) n where v.account_id = :account`,
  `insert into lay_up (account_id, id, vehicle_id, from_on, to_on, ${STORED})
   select v.account_id, gen_random_uuid(), v.id, '2025-11-01', '2026-03-01', v.created_at, v.updated_at from vehicle v where v.account_id = :account`,
  `insert into meter_change (account_id, id, vehicle_id, meter, at, before, after, ${STORED})
   select v.account_id, gen_random_uuid(), v.id, 'hours', now(), 0, 0, v.created_at, v.updated_at from vehicle v where v.account_id = :account`,
  `insert into work_record (account_id, id, vehicle_id, done_at, done_on, distance, performed_by, status, external_id, ${STORED})
   select v.account_id, gen_random_uuid(), v.id, '2025-06-01', '2025-06-01', 1000, '{"name":"Robin"}', 'standing', 'work-' || v.external_id, v.created_at, v.updated_at
   from vehicle v where v.account_id = :account`,
  `insert into work_task (account_id, work_record_id, task_id, title)
   select w.account_id, w.id, t.id, t.title from work_record w
   join lateral (select id, title from task t where t.account_id = w.account_id and t.vehicle_id = w.vehicle_id limit 1) t on true
   where w.account_id = :account`,
  `insert into message (account_id, id, member_id, kind, dedupe, status, next_attempt_at, give_up_at, message_id_header, sent_at, ${STORED})
   select :account, gen_random_uuid(), m.id, 'reminder', 'message-' || m.id || n, 'sent', now(), now(), '<' || m.id || n || '@example.org>', now(),
     m.created_at + n * interval '1 hour', m.created_at + n * interval '1 hour'
   from member m, generate_series(1, 4) n where m.account_id = :account and m.role = 'rider'`,
  `insert into reminder (account_id, id, key, vehicle_id, task_id, member_id, occurrence, revision, stage, planned_for, status, why, ${STORED})
   select t.account_id, gen_random_uuid(), 'key-' || t.id, t.vehicle_id, t.id, v.responsible_member_id, 'work:2025-06-01', 0, 'ahead',
     now() + random() * interval '300 days', 'planned', '{}', t.created_at, t.updated_at
   from task t join vehicle v on v.account_id = t.account_id and v.id = t.vehicle_id where t.account_id = :account`,
  `update reminder r set message_id = m.id, status = 'sent', sent_at = now()
   from (select id, member_id, row_number() over (partition by member_id order by id) n from message where account_id = :account) m
   join (select id, member_id, row_number() over (partition by member_id order by id) n from reminder where account_id = :account) o
     on o.member_id = m.member_id and o.n = m.n
   where r.account_id = :account and r.id = o.id`,
  `insert into event (account_id, id, type, vehicle_id, resource_id, data, at)
   select v.account_id, gen_random_uuid(), (array['reading.recorded','vehicle.changed'])[1 + n % 2], v.id, v.id, '{}', now()
   from vehicle v, generate_series(1, 3) n where v.account_id = :account`,
];
