import type { MachineChanges } from "../../application/ports.ts";
import { isInstantField } from "../row.ts";
import type { Sql } from "../sql.ts";

/** One statement for everything that changed: rows travel as JSON, a part without rows costs little. */
const WRITE = `with
  new_readings as (
    insert into reading (account_id, id, vehicle_id, meter, at, value, unit, total, status, confirmed, reasons,
                         source, note, replaces_id, work_record_id, external_id, created_at, updated_at)
    select current_account(), r.id, r."vehicleId", r.meter, r.at, r.value, r.unit, r.total, r.status, r.confirmed,
           r.reasons, r.source, r.note, r."replacesId", r."workRecordId", r."externalId", r."createdAt", r."updatedAt"
    from jsonb_to_recordset($1::jsonb) as r (id uuid, "vehicleId" uuid, meter text, at timestamptz, value float8,
      unit text, total float8, status text, confirmed boolean, reasons jsonb, source text, note text,
      "replacesId" uuid, "workRecordId" uuid, "externalId" text, "createdAt" timestamptz, "updatedAt" timestamptz)
  ), new_reminders as (
    insert into reminder (account_id, id, key, vehicle_id, task_id, member_id, occurrence, revision, stage,
                          planned_for, status, why, created_at, updated_at)
    select current_account(), r.id, r.key, r."vehicleId", r."taskId", r."memberId", r.occurrence, r.revision, r.stage,
           r."plannedFor", r.status, r.why, r."createdAt", r."updatedAt"
    from jsonb_to_recordset($2::jsonb) as r (id uuid, key text, "vehicleId" uuid, "taskId" uuid, "memberId" uuid,
      occurrence text, revision int, stage text, "plannedFor" timestamptz, status text, why jsonb,
      "createdAt" timestamptz, "updatedAt" timestamptz)
    on conflict (account_id, key) do nothing
  ), moved as (
    update reminder set planned_for = r."plannedFor", why = r.why, cancelled_by = null,
                        status = case status when 'deferred' then status else 'planned' end,
                        message_id = case when r."plannedFor" > $6::timestamptz then null else message_id end,
                        version = version + 1, updated_at = $6::timestamptz
    from jsonb_to_recordset($3::jsonb) as r (id uuid, "plannedFor" timestamptz, why jsonb)
    where account_id = current_account() and reminder.id = r.id
      and (reminder.status in ('planned', 'deferred') or reminder.cancelled_by = 'plan')
  ), ended as (
    update reminder set status = 'cancelled', cancelled_by = 'plan', why = r.why,
                        version = version + 1, updated_at = $6::timestamptz
    from jsonb_to_recordset($4::jsonb) as r (id uuid, why jsonb)
    where account_id = current_account() and reminder.id = r.id and reminder.status in ('planned', 'deferred')
  ), replanned as (
    update vehicle set replan_at = $7::timestamptz, planned_by = $9::text
    where account_id = current_account() and id = $8::uuid
  ), told as (
    update task set told = r.told
    from jsonb_to_recordset($10::jsonb) as r ("taskId" uuid, told jsonb)
    where account_id = current_account() and task.id = r."taskId"
  )
  insert into event (account_id, id, type, vehicle_id, resource_id, data, at)
  select current_account(), e.id, e.type, e."vehicleId", e."resourceId", e.data, e.at
  from jsonb_to_recordset($5::jsonb) as e (id uuid, type text, "vehicleId" uuid, "resourceId" uuid, data jsonb, at timestamptz)`;

/** Writes what a verb changed about one machine; `at` is the account's time, for `updatedAt`. */
export async function writeChanges(sql: Sql, changes: MachineChanges, at: number): Promise<void> {
  const { readings, remindersAdded, remindersMoved, remindersCancelled, events, told } = changes;
  const parts = [readings, remindersAdded, remindersMoved, remindersCancelled, events];
  const empty = [...parts, told].every((rows) => rows === undefined || rows.length === 0);
  if (!changes.replan && empty) return;
  await sql.send("write-changes", WRITE, [
    ...parts.map((rows) => toJson(rows ?? [])),
    new Date(at).toISOString(),
    changes.replan ? new Date(changes.replan.at).toISOString() : null,
    changes.replan?.vehicleId ?? null,
    changes.replan?.plannedBy ?? null,
    toJson(told ?? []),
  ]);
}

function toJson(rows: readonly object[]): string {
  return JSON.stringify(rows, (name, value) =>
    typeof value === "number" && isInstantField(name) ? new Date(value).toISOString() : value,
  );
}
