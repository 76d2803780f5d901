import type { OfVehicles, ToldTask, ToldTasks } from "../application/told-tasks.ts";
import type { Job } from "../domain/workload/workload.ts";
import type { Sql } from "./sql.ts";

/**
 * Two ways to the tasks. Over the account they are read in the order of their days, and each one's
 * vehicle looked up; of some vehicles alone they are read from the vehicles: one condition for both
 * would use no index.
 */
const OVER_ACCOUNT = `from task t join vehicle v on v.account_id = t.account_id and v.id = t.vehicle_id
  where t.account_id = current_account() and t.likely_from <= $1::float8
    and v.disposed_on is null and ($2::text is null or v.group_name = $2::text)`;

const OF_SOME = `from vehicle v join task t on t.account_id = v.account_id and t.vehicle_id = v.id
  where v.account_id = current_account() and t.likely_from <= $1::float8
    and v.disposed_on is null and ($2::text is null or v.group_name = $2::text)`;

const BY_ID = `${OF_SOME} and v.id = any($3::uuid[])`;
const BY_MEMBER = `${OF_SOME} and v.responsible_member_id = $3::uuid`;
const BY_BOTH = `${BY_ID} and v.responsible_member_id = $4::uuid`;

function fromOf({ ids, responsibleMemberId }: OfVehicles): { name: string; from: string } {
  if (ids && responsibleMemberId) return { name: "by-both", from: BY_BOTH };
  if (ids) return { name: "by-id", from: BY_ID };
  return responsibleMemberId
    ? { name: "by-member", from: BY_MEMBER }
    : { name: "over-account", from: OVER_ACCOUNT };
}

function valuesOf(day: number, { ids, responsibleMemberId, group }: OfVehicles): unknown[] {
  return [
    day,
    group ?? null,
    ...(ids ? [ids] : []),
    ...(responsibleMemberId ? [responsibleMemberId] : []),
  ];
}

export function toldTasks(sql: Sql): ToldTasks {
  return {
    until(day, vehicles, { after, limit }) {
      const { name, from } = fromOf(vehicles);
      const values = valuesOf(day, vehicles);
      const [key, id, most] = [1, 2, 3].map((n) => `$${values.length + n}`);
      const text = `select t.id as "taskId", t.vehicle_id as "vehicleId", t.likely_from as "from" ${from}
        and (t.likely_from, t.id) > (${key}::float8, ${id}::uuid)
        order by t.likely_from, t.id limit ${most}::int`;
      const last = after ?? FIRST;
      return sql.query<ToldTask>(`told-${name}`, text, [...values, last.from, last.taskId, limit]);
    },
    jobsUntil(day, vehicles) {
      const { name, from } = fromOf(vehicles);
      return sql.query<Job>(`jobs-${name}`, `${JOBS} ${from}`, valuesOf(day, vehicles));
    },
  };
}

/** Before all others. */
const FIRST = { from: -1e300, taskId: "00000000-0000-0000-0000-000000000000" };

const JOBS = `select t.likely_from as "from", t.likely_most as "most", (t.told->>'to')::float8 as "to",
    (t.told->>'again')::float8 as "again", t.minutes,
    coalesce(t.told->>'stage' in ('due', 'overdue'), false) as "waiting"`;
