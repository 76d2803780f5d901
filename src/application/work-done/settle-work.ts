import type { Instant } from "../../domain/calendar/plain-date.ts";
import { Refusal } from "../../domain/failure/failure.ts";
import { type Caller, requireVehicle } from "../caller.ts";
import { type Deps, eventOf } from "../deps.ts";
import type { EventTypeName } from "../event-types.ts";
import { findOfVehicle } from "../find-or-refuse.ts";
import { timeOf } from "../machine/assess.ts";
import { refreshMachine } from "../machine/refresh.ts";
import type { Machine, Transaction } from "../ports.ts";
import type { WorkRecord, WorkRevision } from "../records.ts";
import { requireFreeExternalId } from "../repeat-external-id.ts";
import { type LoggedWorkAnswer, requireMember, type WorkInput, workRecordOf } from "./log-work.ts";

/** The record never was: it counts for nothing from now on, and stays to be read with the reason. */
export async function voidWork(
  tx: Transaction,
  caller: Caller,
  vehicleId: string,
  workRecordId: string,
  reason: string,
  deps: Deps,
): Promise<LoggedWorkAnswer> {
  const { machine, record, now } = await openWork(tx, caller, vehicleId, workRecordId, deps);
  const revision: WorkRevision = { at: now, what: "void", reason };
  await tx.work.update(record.id, record.version, {
    status: "void",
    revisions: [...record.revisions, revision],
    updatedAt: now,
  });
  return answer(tx, machine, record.id, "work.void", { reason }, now, deps);
}

/** What was noted wrong is put right, with the reason; what stood before stays to be read. */
export async function amendWork(
  tx: Transaction,
  caller: Caller,
  vehicleId: string,
  workRecordId: string,
  amendment: { reason: string; inputOf(record: WorkRecord): WorkInput; readingGiven: boolean },
  before: (record: WorkRecord) => Record<string, unknown>,
  deps: Deps,
): Promise<LoggedWorkAnswer> {
  const { machine, record, now } = await openWork(tx, caller, vehicleId, workRecordId, deps);
  const input = amendment.inputOf(record);
  await requireMember(tx, input.performedBy, record.performedBy);
  await requireFreeExternalId(tx.work, record, input.externalId);
  // A reading that was not given again is on the meter already.
  const placed = amendment.readingGiven ? input : { ...input, reading: null };
  const { record: made, changes } = workRecordOf(
    withoutWork(machine, record.id),
    placed,
    now,
    deps,
  );
  const {
    id: _id,
    createdAt: _created,
    status: _status,
    revisions: _revisions,
    tasks,
    ...fields
  } = made;
  const revision: WorkRevision = {
    at: now,
    what: "amended",
    reason: amendment.reason,
    before: before(record),
  };
  await tx.work.update(record.id, record.version, {
    ...fields,
    ...(!amendment.readingGiven && keptReading(record, made.doneAt)),
    status: "amended",
    revisions: [...record.revisions, revision],
  });
  await tx.setWorkedTasks(record.id, tasks);
  const readings = (changes.readings ?? []).map((row) => ({ ...row, workRecordId: record.id }));
  const recorded = (changes.events ?? []).filter(({ type }) => type !== "work.logged");
  await tx.machine.write({ readings, events: recorded }, now);
  const { reason } = amendment;
  return answer(tx, machine, record.id, "work.amended", { reason }, now, deps);
}

/** The reading and its totals stand as they were while the work stays where it was. */
function keptReading(record: WorkRecord, doneAt: Instant) {
  const { reading, distance, hours } = record;
  return record.doneAt === doneAt ? { reading, distance, hours } : { reading };
}

async function openWork(
  tx: Transaction,
  caller: Caller,
  vehicleId: string,
  workRecordId: string,
  deps: Deps,
): Promise<{ machine: Machine; record: WorkRecord; now: Instant }> {
  const machine = await tx.machine.load(vehicleId, true);
  requireVehicle(caller, machine?.vehicle, "logWork");
  if (!machine) throw new Refusal({ kind: "notFound", resource: "vehicle" });
  const record = await findOfVehicle(tx.work, vehicleId, workRecordId, "work record");
  if (record.status === "void") {
    throw new Refusal({
      kind: "conflict",
      detail: "This record has been voided; log the work anew.",
    });
  }
  return { machine, record, now: timeOf(machine, deps.clock()) };
}

/** The machine as it was before the record, as far as its own tasks go. */
function withoutWork(machine: Machine, recordId: string): Machine {
  const tasks = machine.tasks.map((task) =>
    task.logged?.recordId === recordId ? { ...task, logged: null } : task,
  );
  return { ...machine, tasks };
}

async function answer(
  tx: Transaction,
  machine: Machine,
  recordId: string,
  type: EventTypeName,
  data: Record<string, unknown>,
  now: Instant,
  deps: Deps,
): Promise<LoggedWorkAnswer> {
  const vehicleId = machine.vehicle.id;
  const event = eventOf(deps, now, type, { resourceId: recordId, vehicleId }, data);
  await tx.machine.write({ events: [event] }, now);
  const assessed = await refreshMachine(tx, vehicleId, deps);
  const record = (await tx.work.find(recordId)) as WorkRecord;
  const covered = new Set(record.tasks.map(({ taskId }) => taskId));
  const next = assessed.tasks.filter(({ task }) => covered.has(task.id));
  return { record, isNew: false, reading: null, next, assessed };
}
