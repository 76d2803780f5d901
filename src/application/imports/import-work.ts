import type { Instant, PlainDate } from "../../domain/calendar/plain-date.ts";
import { refuseField } from "../../domain/failure/failure.ts";
import { holdSentence } from "../../domain/meter/hold-sentence.ts";
import type { DistanceUnit } from "../../domain/units/distance.ts";
import { type Caller, requireRight } from "../caller.ts";
import type { Deps } from "../deps.ts";
import { refreshMachine } from "../machine/refresh.ts";
import type { Replay, Transaction } from "../ports.ts";
import type { Task, WorkRecord } from "../records.ts";
import { requireSameContent } from "../repeat-external-id.ts";
import { type WorkInput, writeWork } from "../work-done/log-work.ts";
import type { ImportReport } from "./import-report.ts";
import type { ImportRequest } from "./import-request.ts";
import { importRows } from "./import-rows.ts";
import { VehicleNames } from "./name-vehicles.ts";
import { ownId } from "./own-id.ts";
import type { NamedVehicle, RowSource, RowsImport, StagedRow } from "./ports.ts";

export interface WorkRow extends NamedVehicle {
  /** Who did it is null where the row does not say. */
  input: Omit<WorkInput, "taskIds" | "performedBy" | "reading"> & {
    performedBy: WorkInput["performedBy"] | null;
    /** The unit is the meter's own where the row does not say. */
    reading: { value: number; unit?: DistanceUnit | "h" | undefined } | null;
  };
  /** Titles or ids of tasks of the vehicle. */
  tasks: string[];
}

/** All tasks of a machine: more than any has. */
const ALL = { limit: 10_000, after: null };

/**
 * Logs the work of a file, that of each machine in the order in which it was done, and plans each
 * machine's reminders once at the end.
 */
export function importWork<A>(
  source: RowSource<WorkRow>,
  request: ImportRequest<A>,
  deps: Deps,
): Promise<A | Replay> {
  requireRight(request.caller, "logWork");
  const make = (tx: RowsImport) => {
    const vehicles = new VehicleNames(tx, request.caller);
    const touched = new Set<string>();
    return {
      kind: "work" as const,
      prepare: (rows: readonly WorkRow[]) => vehicles.prepare(rows),
      place(row: WorkRow) {
        const vehicle = vehicles.find(row);
        if ("detail" in vehicle) return vehicle;
        return { vehicleId: vehicle.id, at: instantOf(row.input.doneAt) };
      },
      async take(row: StagedRow<WorkRow>, _tx: RowsImport, report: ImportReport) {
        const isNew = await takeOne(row, tx.tx, request.caller, report, deps);
        if (isNew) touched.add(String(row.vehicleId));
      },
      async conclude() {
        for (const id of touched) await refreshMachine(tx.tx, id, deps);
      },
    };
  };
  return importRows(source, request, make, deps);
}

function instantOf(doneAt: Instant | PlainDate): Instant {
  return typeof doneAt === "number" ? doneAt : Date.parse(`${doneAt}T12:00:00Z`);
}

async function takeOne(
  { line, vehicleId, value }: StagedRow<WorkRow>,
  tx: Transaction,
  caller: Caller,
  report: ImportReport,
  deps: Deps,
): Promise<boolean> {
  const id = String(vehicleId);
  const performedBy = value.input.performedBy ?? ownWork(caller);
  const reading = await readingOf(tx, id, value.input.reading);
  const posted = { ...value.input, performedBy, reading };
  const given = givenOf(posted);
  const exported = await ownId(tx.work, value.input.externalId);
  if (exported) {
    requireSameContent(exported, { ...given, vehicleId: id }, exported.id);
    report.repeat(line, exported.id);
    return false;
  }
  const taskIds = await taskIdsOf(tx, id, value.tasks);
  const done = await writeWork(tx, caller, id, { ...posted, taskIds }, given, deps);
  const { record, isNew, reading: placed } = done;
  if (!isNew) report.repeat(line, record.id);
  else if (placed?.status === "held") {
    const told = placed.reasons.map((reason) => holdSentence(reason, placed.unit)).join(" ");
    report.hold(line, "reading", `The work is logged; its reading waits. ${told}`, record.id);
  } else report.made(record.id);
  return isNew;
}

function ownWork({ memberId }: Caller): WorkRecord["performedBy"] {
  if (memberId !== undefined) return { memberId };
  throw refuseField("#/by", "must say who did it: this key is not bound to a member");
}

async function readingOf(
  tx: Transaction,
  vehicleId: string,
  reading: WorkRow["input"]["reading"],
): Promise<WorkInput["reading"]> {
  if (reading === null) return null;
  const unit = reading.unit ?? (await tx.vehicles.find(vehicleId))?.meterUnit ?? "km";
  return { value: reading.value, unit };
}

/** What stood in the file, by the names of the stored record. */
function givenOf(input: Omit<WorkInput, "taskIds">) {
  const { doneAt, minutes, notes, reading, performedBy } = input;
  const when = typeof doneAt === "number" ? { doneAt } : { doneOn: doneAt };
  return { performedBy, minutes, notes, reading, ...when };
}

async function taskIdsOf(
  tx: Transaction,
  vehicleId: string,
  names: readonly string[],
): Promise<string[]> {
  if (names.length === 0) return [];
  const { items } = await tx.tasks.list({ vehicleId }, ALL);
  return names.map((name) => taskIdOf(items, name));
}

function taskIdOf(tasks: readonly Task[], name: string): string {
  const named = tasks.filter(({ id, title }) => id === name || title === name);
  const [task] = named;
  if (named.length > 1) {
    throw refuseField("#/tasks", `"${name}" is the title of several tasks: name it by its id`);
  }
  if (task) return task.id;
  throw refuseField("#/tasks", `"${name}" must be the title or the id of a task of this vehicle`);
}
