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

/** Two ways to the vehicles, of which one is taken: a condition for both would use no index. */
const FIND = `with feed as materialized (
    select f.name, f.member_id, m.locale, m.time_zone as zone
    from calendar_feed f
    join member m on m.account_id = f.account_id
      and case when f.member_id is null then m.role = 'owner' else m.id = f.member_id end
    where f.account_id = current_account() and f.id = $1::uuid and f.secret_number = $2::int
  ), shown as (
    select v.account_id, v.id from vehicle v
    where (select member_id is null from feed) and v.account_id = current_account() and v.disposed_on is null
    union all
    select v.account_id, v.id from vehicle v
    where v.account_id = current_account() and v.disposed_on is null
      and v.responsible_member_id = (select member_id from feed)
  ), followed as (
    select t.* from shown join task t on t.account_id = shown.account_id and t.vehicle_id = shown.id
    where not t.paused and t.told->>'most' is not null
    order by (t.told->>'most')::float8, t.id limit ${MOST_TASKS}
  )
  select json_build_object('name', f.name, 'locale', f.locale, 'zone', f.zone, 'machines',
    (select coalesce(json_agg(json_build_object(
        'vehicle', json_build_object('name', v.name, 'meterUnit', v.meter_unit,
          'inServiceOn', v.in_service_on, 'updatedAt', ${inMs("v.updated_at")}),
        'zone', m.time_zone, 'meterChanges', ${METER_CHANGES},
        'firstTotals', json_build_object('distance', ${firstTotal("distance")}, 'hours', ${firstTotal("hours")}),
        'tasks', ${TASKS}) order by v.created_at, v.id), '[]')
     from vehicle v
     join member m on m.account_id = v.account_id and m.id = v.responsible_member_id
     where v.account_id = current_account() and v.id in (select vehicle_id from followed))) as calendar
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
