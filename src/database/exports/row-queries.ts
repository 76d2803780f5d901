import type { ExportKind } from "../../application/exports/ports.ts";

/** A query of a file's rows, whose columns are the file's. */
export interface RowQuery {
  columns: readonly string[];
  text: string;
}

/** Set for the transaction, since a cursor takes no parameters. */
const SEEN = `v.account_id = current_account()
  and (current_setting('forewheel.export_ids') = '*'
    or v.id::text = any(string_to_array(current_setting('forewheel.export_ids'), ',')))
  and current_setting('forewheel.export_member') in ('', v.responsible_member_id::text)`;

const instant = (column: string) =>
  `to_char(${column} at time zone 'UTC', 'YYYY-MM-DD"T"HH24:MI:SS.MS"Z"')`;

/** In the order of the index, read backwards: nothing is sorted, however many there are. */
const READINGS: RowQuery = {
  columns: [
    ...["vehicleId", "vehicleExternalId", "value", "at", "unit", "meter", "source", "note"],
    "externalId",
  ],
  text: `select v.id::text, v.external_id, r.value, ${instant("r.at")}, r.unit, r.meter, r.source, r.note,
      r.external_id
    from reading r join vehicle v on v.account_id = r.account_id and v.id = r.vehicle_id
    where r.account_id = current_account() and r.status <> 'superseded' and ${SEEN}
    order by r.vehicle_id desc, r.at, r.id`,
};

const VEHICLES: RowQuery = {
  columns: [
    ...["name", "kind", "meterUnit", "hoursMeter", "make", "model", "modelYear", "registration"],
    ...["frameNumber", "group", "inServiceOn", "declaredPerYear", "hemisphere"],
    ...["responsibleMemberId", "scheduleId", "disposedOn", "offRoad", "externalId", "notes"],
  ],
  text: `select v.name, v.kind, v.meter_unit, v.hours_meter, v.make, v.model, v.model_year, v.registration,
      v.frame_number, v.group_name, v.in_service_on::text, v.declared_per_year, v.hemisphere,
      v.responsible_member_id::text, v.schedule_id::text, v.disposed_on::text, v.off_road,
      coalesce(v.external_id, v.id::text), v.notes
    from vehicle v where ${SEEN} order by v.created_at, v.id`,
};

/** Tasks by their titles, where a title says which it is; tasks that are gone are left out. */
const TASKS = `(select string_agg(case
      when t.title like '%;%' or exists (select from task o where o.account_id = t.account_id
        and o.vehicle_id = t.vehicle_id and o.title = t.title and o.id <> t.id) then t.id::text
      else t.title end, '; ' order by t.created_at, t.id)
    from work_task wt join task t on t.account_id = wt.account_id and t.id = wt.task_id
    where wt.account_id = w.account_id and wt.work_record_id = w.id)`;

const money = (column: string) => `${column}->>'amount' || ' ' || (${column}->>'currency')`;

const WORK: RowQuery = {
  columns: [
    ...["vehicleId", "vehicleExternalId", "doneAt", "reading", "unit", "tasks", "by", "trade"],
    ...["minutes", "labour", "cost", "notes", "externalId"],
  ],
  text: `select v.id::text, v.external_id, ${instant("w.done_at")}, (w.reading->>'value')::float8,
      w.reading->>'unit', ${TASKS}, coalesce(w.performed_by->>'memberId', w.performed_by->>'name'),
      w.performed_by->>'trade', w.minutes, ${money("w.labour")}, ${money("w.cost")}, w.notes,
      coalesce(w.external_id, w.id::text)
    from work_record w join vehicle v on v.account_id = w.account_id and v.id = w.vehicle_id
    where w.account_id = current_account() and w.status <> 'void' and ${SEEN}
    order by w.vehicle_id desc, w.done_at, w.id`,
};

export const ROW_QUERIES: Record<ExportKind, RowQuery> = {
  readings: READINGS,
  vehicles: VEHICLES,
  work: WORK,
};
