import type { FleetMachine, Machine } from "../../application/ports.ts";
import { taskOfRow } from "../collections/tasks.ts";
import { inMs, type Sql } from "../sql.ts";

/** Readings that estimates use of one meter: more than a weekly one over four years. */
const READINGS_USED = 240;
/** Settled reminders tell what was already said; none of an older occurrence matters after that. */
const REMINDER_DAYS = 400;

/** A machine with fewer distance readings is new: the fleet lends it its habits. */
const FEW_READINGS = 12;
const FLEET_MACHINES = 40;
const FLEET_READINGS = 24;

const STORED = (table: string): string =>
  `'id', ${table}.id, 'version', ${table}.version, 'createdAt', ${inMs(`${table}.created_at`)}, 'updatedAt', ${inMs(`${table}.updated_at`)}`;

/** The account `a` as the application sees it. */
export const ACCOUNT = `json_build_object(${STORED("a")}, 'name', a.name, 'sandbox', a.sandbox, 'clock', ${inMs("a.clock")})`;

/** The member `m` as the application sees it. */
export const MEMBER = `json_build_object(${STORED("m")}, 'name', m.name, 'email', m.email,
  'emailConfirmedAt', ${inMs("m.email_confirmed_at")}, 'emailSuppressed', m.email_suppressed,
  'unsubscribedAt', ${inMs("m.unsubscribed_at")}, 'role', m.role, 'locale', m.locale,
  'timeZone', m.time_zone, 'unit', m.unit, 'reminders', m.reminders, 'externalId', m.external_id)`;

const VEHICLE = `json_build_object(${STORED("v")}, 'name', v.name, 'kind', v.kind,
  'meterUnit', v.meter_unit, 'hoursMeter', v.hours_meter, 'make', v.make, 'model', v.model,
  'modelYear', v.model_year, 'registration', v.registration, 'frameNumber', v.frame_number,
  'group', v.group_name, 'inServiceOn', v.in_service_on, 'declaredPerYear', v.declared_per_year,
  'hemisphere', v.hemisphere, 'responsibleMemberId', v.responsible_member_id, 'scheduleId', v.schedule_id,
  'disposedOn', v.disposed_on, 'offRoad', v.off_road, 'notes', v.notes, 'externalId', v.external_id)`;

export const METER_CHANGES = `(select coalesce(json_agg(json_build_object('id', c.id, 'meter', c.meter,
    'at', ${inMs("c.at")}, 'before', c.before, 'after', c.after) order by c.at), '[]')
  from meter_change c where c.account_id = v.account_id and c.vehicle_id = v.id)`;

const LAY_UPS = `(select coalesce(json_agg(json_build_object('id', l.id, 'from', l.from_on,
    'to', l.to_on, 'reason', l.reason) order by l.from_on), '[]')
  from lay_up l where l.account_id = v.account_id and l.vehicle_id = v.id)`;

const readingsOf = (meter: string): string => `(select coalesce(json_agg(json_build_object(
    'id', r.id, 'meter', r.meter, 'at', ${inMs("r.at")}, 'value', r.value, 'unit', r.unit, 'total', r.total,
    'status', r.status, 'confirmed', r.confirmed, 'reasons', r.reasons, 'source', r.source, 'note', r.note,
    'replacesId', r.replaces_id, 'workRecordId', r.work_record_id, 'externalId', r.external_id,
    'version', r.version, 'createdAt', ${inMs("r.created_at")}, 'updatedAt', ${inMs("r.updated_at")})), '[]')
  from (select * from reading r where r.account_id = v.account_id and r.vehicle_id = v.id
          and r.meter = '${meter}' and r.status <> 'superseded'
        order by r.at desc, r.id desc limit ${READINGS_USED}) r)`;

/** Tells a machine that was bought used from a new one, however many readings have come since. */
export const firstTotal = (
  meter: string,
): string => `(select r.total from reading r where r.account_id = v.account_id
  and r.vehicle_id = v.id and r.meter = '${meter}' and r.status = 'accepted' order by r.at, r.id limit 1)`;

const IS_NEW = `((select count(*) from (select from reading r where r.account_id = v.account_id
    and r.vehicle_id = v.id and r.meter = 'distance' and r.status = 'accepted' limit ${FEW_READINGS}) known)
    < ${FEW_READINGS})`;

/** Machines of a kind, each with what it lends, of which the borrower itself is left out later. */
const lendersOf = (kind: string): string => `(select coalesce(json_agg(json_build_object(
      'id', o.id, 'unit', o.meter_unit, 'readings',
      (select coalesce(json_agg(json_build_array(${inMs("r.at")}, r.total)), '[]')
       from (select r.at, r.total from reading r where r.account_id = current_account() and r.vehicle_id = o.id
               and r.meter = 'distance' and r.status = 'accepted'
             order by r.at desc, r.id desc limit ${FLEET_READINGS}) r)) order by o.id), '[]')
    from (select o.id, o.meter_unit from vehicle o where o.account_id = current_account() and o.kind = ${kind}
            and o.disposed_on is null order by o.id limit ${FLEET_MACHINES + 1}) o)`;

export const LOGGED = `(select json_build_object('recordId', w.id, 'on', w.done_on, 'at', ${inMs("w.done_at")},
    'distance', w.distance, 'hours', w.hours,
    'madeOn', (select max(part->>'madeOn') from jsonb_array_elements(w.parts) part))
  from work_task wt
  join work_record w on w.account_id = wt.account_id and w.id = wt.work_record_id
  where wt.account_id = t.account_id and wt.task_id = t.id and w.status <> 'void'
  order by w.done_at desc, w.id desc limit 1)`;

const TASKS = `(select coalesce(json_agg(json_build_object(${STORED("t")}, 'vehicleId', t.vehicle_id,
    'title', t.title, 'kind', t.kind, 'first', t.first_limits, 'every', t.every_limits, 'on', t.on_date,
    'whichever', t.whichever, 'repeatFrom', t.repeat_from, 'countsFrom', t.counts_from,
    'severe', t.severe, 'early', t.early_limits, 'late', t.late_limits, 'lead', t.lead,
    'paused', t.paused, 'minutes', t.minutes, 'access', t.access, 'steps', t.steps, 'tools', t.tools,
    'parts', t.parts, 'fluids', t.fluids, 'cautions', t.cautions, 'closingChecks', t.closing_checks,
    'points', t.points, 'statedWork', t.stated_work, 'scheduleId', t.schedule_id, 'scheduleLine', t.schedule_line, 'told', t.told, 'logged', ${LOGGED})
    order by t.created_at, t.id), '[]')
  from task t where t.account_id = v.account_id and t.vehicle_id = v.id)`;

const REMINDERS = `(select coalesce(json_agg(json_build_object('id', r.id, 'version', r.version,
    'vehicleId', r.vehicle_id, 'taskId', r.task_id, 'memberId', r.member_id, 'key', r.key,
    'occurrence', r.occurrence, 'revision', r.revision, 'stage', r.stage,
    'plannedFor', ${inMs("r.planned_for")}, 'status', r.status, 'why', r.why,
    'deferredUntilOn', r.deferred_until_on, 'deferredUntilDistance', r.deferred_until_distance,
    'expectedDay', r.expected_day, 'cancelledBy', r.cancelled_by, 'messageId', r.message_id,
    'sentAt', ${inMs("r.sent_at")}) order by r.id), '[]')
  from reminder r where r.account_id = v.account_id and r.vehicle_id = v.id
    and (r.status in ('planned', 'deferred')
      or r.planned_for > coalesce(a.clock, now()) - interval '${REMINDER_DAYS} days'))`;

const MACHINE = `json_build_object('account', ${ACCOUNT}, 'vehicle', ${VEHICLE}, 'responsible', ${MEMBER},
  'meterChanges', ${METER_CHANGES}, 'layUps', ${LAY_UPS},
  'distanceReadings', ${readingsOf("distance")}, 'hoursReadings', ${readingsOf("hours")},
  'firstTotals', json_build_object('distance', ${firstTotal("distance")}, 'hours', ${firstTotal("hours")}),
  'tasks', ${TASKS}, 'reminders', ${REMINDERS}, 'replanAt', ${inMs("v.replan_at")}, 'plannedBy', v.planned_by)`;

const FROM = `from vehicle v
  join account a on a.id = v.account_id
  join member m on m.account_id = v.account_id and m.id = v.responsible_member_id`;

const LOAD_ONE = `select ${MACHINE} as machine,
    case when ${IS_NEW} then ${lendersOf("v.kind")} end as lenders
  ${FROM} where v.account_id = current_account() and v.id = $1::uuid`;

/** Two statements: one condition for both would use no index. */
const LOAD_THESE = `select ${MACHINE} as machine, ${IS_NEW} as new ${FROM}
  where v.account_id = current_account() and v.disposed_on is null and v.id = any($1::uuid[])
  order by v.id`;

const LOAD_PAGE = `select ${MACHINE} as machine, ${IS_NEW} as new ${FROM}
  where v.account_id = current_account() and v.disposed_on is null and v.id > $1::uuid
  order by v.id limit $2::int`;

const LENDERS = `select k.kind, ${lendersOf("k.kind")} as lenders from unnest($1::text[]) k (kind)`;

const LOCK = `select from vehicle where account_id = current_account() and id = $1::uuid for no key update`;

export async function lockMachine(sql: Sql, vehicleId: string): Promise<void> {
  await sql.query("lock-vehicle", LOCK, [vehicleId]);
}

/**
 * The machine as one JSON answer. The lock stands in a statement of its own before the one that
 * reads, so that the reading statement sees what the former holder of the lock committed.
 */
export async function loadMachine(
  sql: Sql,
  vehicleId: string,
  lock: boolean,
): Promise<Machine | null> {
  const locked = lock ? sql.query("lock-vehicle", LOCK, [vehicleId]) : undefined;
  const loaded = sql.query<LoadedOne>("load-machine", LOAD_ONE, [vehicleId]);
  const [, rows] = await Promise.all([locked, loaded]);
  return rows[0] ? machineOf(rows[0].machine, rows[0].lenders ?? []) : null;
}

export async function loadMachines(
  sql: Sql,
  which: { ids: readonly string[] } | { after: string | null; limit: number },
): Promise<Machine[]> {
  const rows =
    "ids" in which
      ? await sql.query<LoadedOfMany>("load-these-machines", LOAD_THESE, [which.ids])
      : await sql.query<LoadedOfMany>("load-machines", LOAD_PAGE, [
          which.after ?? FIRST_ID,
          which.limit,
        ]);
  const kinds = new Set(rows.filter((row) => row.new).map(({ machine }) => machine.vehicle.kind));
  const found =
    kinds.size === 0 ? [] : await sql.query<LendersOfKind>("lenders", LENDERS, [[...kinds]]);
  const lenders = new Map(found.map((row) => [row.kind, row.lenders]));
  return rows.map((row) => {
    const { kind } = row.machine.vehicle;
    return machineOf(row.machine, row.new ? (lenders.get(kind) ?? []) : []);
  });
}

const FIRST_ID = "00000000-0000-0000-0000-000000000000";

interface LoadedOne {
  machine: RawMachine;
  lenders: Lender[] | null;
}

interface LoadedOfMany {
  machine: RawMachine;
  new: boolean;
}

interface LendersOfKind {
  kind: string;
  lenders: Lender[];
}

type Lender = FleetMachine & { id: string };

type RawMachine = Omit<Machine, "tasks" | "readings" | "fleet"> & {
  distanceReadings: Machine["readings"];
  hoursReadings: Machine["readings"];
  tasks: (Record<string, unknown> & Pick<Machine["tasks"][number], "logged" | "told">)[];
};

function machineOf(raw: RawMachine, lenders: readonly Lender[]): Machine {
  const tasks = raw.tasks.map(({ logged, told, ...row }) => ({ ...taskOfRow(row), logged, told }));
  const { distanceReadings, hoursReadings, ...rest } = raw;
  const others = lenders.filter(({ id }) => id !== raw.vehicle.id).slice(0, FLEET_MACHINES);
  const fleet = others.map(({ unit, readings }) => ({ unit, readings }));
  return { ...rest, readings: [...distanceReadings, ...hoursReadings], fleet, tasks };
}
