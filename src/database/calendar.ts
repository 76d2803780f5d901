import type {
  FindFollowedCalendar,
  FollowedCalendar,
  FollowedMachine,
  FollowedTask,
} from "../application/followed-calendar.ts";
import type { Connections } from "./client.ts";
import { clientStatement } from "./client-transaction.ts";
import { taskOfRow } from "./collections/tasks.ts";
import { firstTotal, LOGGED, METER_CHANGES } from "./machine/load-machine.ts";
import { inMs } from "./sql.ts";

/** Beyond it a calendar shows those that come soonest: nobody reads more, and each poll costs them. */
const MOST_TASKS = 500;

const TASKS = `(select json_agg(json_build_object('id', t.id, 'title', t.title, 'cautions', t.cautions,
    'kind', t.kind, 'first', t.first_limits, 'every', t.every_limits, 'on', t.on_date,
    'whichever', t.whichever, 'repeatFrom', t.repeat_from, 'countsFrom', t.counts_from,
    'severe', t.severe, 'early', t.early_limits, 'late', t.late_limits, 'paused', t.paused,
    'statedWork', t.stated_work, 'told', t.told, 'updatedAt', ${inMs("t.updated_at")}, 'logged', ${LOGGED})
    order by t.created_at, t.id)
  from followed t where t.vehicle_id = v.id)`;

/** Two ways to the tasks, of which one is taken: a condition for both would use no index. */
const FIND = `with feed as materialized (
    select f.name, f.member_id, m.locale, m.time_zone as zone
    from calendar_feed f
    cross join lateral (
      (select o.locale, o.time_zone from member o
       where f.member_id is not null and o.account_id = current_account() and o.id = f.member_id offset 0)
      union all
      (select o.locale, o.time_zone from member o
       where f.member_id is null and o.account_id = current_account() and o.role = 'owner' offset 0)
    ) m
    where f.account_id = current_account() and f.id = $1::uuid and f.secret_number = $2::int
  ), followed as (
    (select t.* from task t join vehicle v on v.account_id = t.account_id and v.id = t.vehicle_id
     where (select member_id is null from feed) and t.account_id = current_account()
       and v.disposed_on is null and not t.paused and t.likely_most is not null
     order by t.likely_most, t.id limit ${MOST_TASKS})
    union all
    (select t.* from vehicle v join task t on t.account_id = v.account_id and t.vehicle_id = v.id
     where v.account_id = current_account() and v.responsible_member_id = (select member_id from feed)
       and v.disposed_on is null and not t.paused and t.likely_most is not null
     order by t.likely_most, t.id limit ${MOST_TASKS})
  )
  select json_build_object('name', f.name, 'locale', f.locale, 'zone', f.zone, 'machines',
    (select coalesce(json_agg(json_build_object(
        'vehicle', json_build_object('name', v.name, 'meterUnit', v.meter_unit,
          'inServiceOn', v.in_service_on, 'updatedAt', ${inMs("v.updated_at")}),
        'zone', m.time_zone, 'meterChanges', ${METER_CHANGES},
        'firstTotals', json_build_object('distance', ${firstTotal("distance")}, 'hours', ${firstTotal("hours")}),
        'tasks', ${TASKS}) order by v.created_at, v.id), '[]')
     from (select distinct vehicle_id from followed) f
     cross join lateral (select * from vehicle v
       where v.account_id = current_account() and v.id = f.vehicle_id offset 0) v
     cross join lateral (select m.time_zone from member m
       where m.account_id = v.account_id and m.id = v.responsible_member_id offset 0) m)) as calendar
  from feed f`;

/** Calendars are read in one journey to the database. */
export function followedCalendars({ pool }: Connections): FindFollowedCalendar {
  return async (accountId, { id, secretNumber }) => {
    const [row] = await clientStatement<{ calendar: RawCalendar }>(
      pool,
      { "forewheel.account": accountId },
      { name: "load-calendar", text: FIND, values: [id, secretNumber] },
    );
    return row ? calendarOf(row.calendar) : null;
  };
}

type RawTask = Record<string, unknown> & Pick<FollowedTask, "told" | "logged">;
type RawMachine = Omit<FollowedMachine, "tasks"> & { tasks: RawTask[] };
type RawCalendar = Omit<FollowedCalendar, "machines"> & { machines: RawMachine[] };

function calendarOf({ machines, ...feed }: RawCalendar): FollowedCalendar {
  const read = ({ told, logged, ...row }: RawTask) => ({ ...taskOfRow(row), told, logged });
  return {
    ...feed,
    machines: machines.map(({ tasks, ...machine }) => ({ ...machine, tasks: tasks.map(read) })),
  };
}
