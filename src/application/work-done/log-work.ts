import type { Instant, PlainDate } from "../../domain/calendar/plain-date.ts";
import { duePoint } from "../../domain/due/due-point.ts";
import { workWindow } from "../../domain/due/within-window.ts";
import { Refusal, refuseField } from "../../domain/failure/failure.ts";
import type { DistanceUnit } from "../../domain/units/distance.ts";
import { type Caller, requireVehicle } from "../caller.ts";
import { type Deps, eventOf, fresh } from "../deps.ts";
import {
  type Assessed,
  type AssessedTask,
  assess,
  machineFacts,
  timeOf,
} from "../machine/assess.ts";
import { refreshMachine } from "../machine/refresh.ts";
import type { KnownTask, Machine, MachineChanges, Transaction } from "../ports.ts";
import { placeReading } from "../readings/place-reading.ts";
import type { PerformedBy, Reading, WorkedTask, WorkRecord } from "../records.ts";
import { requireSameContent } from "../repeat-external-id.ts";
import { type DoneAt, resolveDoneAt } from "./done-at.ts";
import { type FindingInput, judgeFindings } from "./judge-findings.ts";
import { totalWhenDone } from "./total-when-done.ts";

export interface WorkInput
  extends Pick<
    WorkRecord,
    "performedBy" | "parts" | "minutes" | "labour" | "cost" | "notes" | "externalId"
  > {
  doneAt: Instant | PlainDate;
  reading: { value: number; unit: DistanceUnit | "h" } | null;
  taskIds: string[];
  findings: FindingInput[];
}

export interface LoggedWorkAnswer {
  record: WorkRecord;
  isNew: boolean;
  /** The reading that came with it, where one did. */
  reading: Reading | null;
  /** The tasks that it covers, as they stand now. */
  next: AssessedTask[];
  assessed: Assessed;
}

/**
 * Writes down what was done, judges what was measured, and works out what falls due next. The
 * reading that comes with it is a reading of the meter like any other; held or not, the work stands.
 */
export async function logWork(
  tx: Transaction,
  caller: Caller,
  vehicleId: string,
  input: WorkInput,
  given: Record<string, unknown>,
  deps: Deps,
): Promise<LoggedWorkAnswer> {
  const { record, isNew, reading } = await writeWork(tx, caller, vehicleId, input, given, deps);
  const assessed = isNew
    ? await refreshMachine(tx, vehicleId, deps)
    : await assessedNow(tx, vehicleId, deps);
  const covered = new Set(record.tasks.map(({ taskId }) => taskId));
  const next = assessed.tasks.filter(({ task }) => covered.has(task.id));
  return { record, isNew, reading, next, assessed };
}

/** The same without looking at what falls due next: whoever calls it plans the machine anew. */
export async function writeWork(
  tx: Transaction,
  caller: Caller,
  vehicleId: string,
  input: WorkInput,
  given: Record<string, unknown>,
  deps: Deps,
): Promise<Pick<LoggedWorkAnswer, "record" | "isNew" | "reading">> {
  const machine = await tx.machine.load(vehicleId, true);
  requireVehicle(caller, machine?.vehicle, "logWork");
  if (!machine) throw new Refusal({ kind: "notFound", resource: "vehicle" });
  const repeated = await repeatedWork(tx, vehicleId, input, given);
  if (repeated) return { record: repeated, isNew: false, reading: null };
  await requireMember(tx, input.performedBy);
  const now = timeOf(machine, deps.clock());
  const { record, changes, reading } = workRecordOf(machine, input, now, deps);
  const { tasks, ...row } = record;
  await tx.work.insert({ ...row, tasks: [] });
  await tx.setWorkedTasks(record.id, tasks);
  await tx.machine.write(changes, now);
  return { record: (await tx.work.find(record.id)) as WorkRecord, isNew: true, reading };
}

async function assessedNow(tx: Transaction, vehicleId: string, deps: Deps): Promise<Assessed> {
  const machine = await tx.machine.load(vehicleId, false);
  if (!machine) throw new Refusal({ kind: "notFound", resource: "vehicle" });
  return assess(machine, timeOf(machine, deps.clock()));
}

/** The record and what else is written with it; the database has not been asked for anything yet. */
export function workRecordOf(machine: Machine, input: WorkInput, now: Instant, deps: Deps) {
  const tasks = tasksOf(machine, input.taskIds);
  const findings = judgeFindings(input.findings, tasks);
  const done = resolveDoneAt(input.doneAt, now, machine.responsible.timeZone);
  const id = fresh(deps, now);
  const placed =
    input.reading === null
      ? null
      : placeReading(
          machine,
          { ...input.reading, at: done.doneAt, source: "workshop", workRecordId: id.id },
          now,
          deps,
        );
  const totals = totalsOf(machine, done.doneAt, placed?.reading ?? null, now);
  const worked = tasks.map((task) => workedTask(machine, task, done, totals, now));
  const record = {
    ...id,
    vehicleId: machine.vehicle.id,
    ...done,
    ...totals,
    reading: input.reading,
    performedBy: input.performedBy,
    findings,
    parts: input.parts,
    minutes: input.minutes,
    labour: input.labour,
    cost: input.cost,
    notes: input.notes,
    tasks: worked,
    inWindow: worstOf(worked),
    status: "standing" as const,
    revisions: [],
    externalId: input.externalId,
  };
  const subject = { resourceId: id.id, vehicleId: machine.vehicle.id };
  const event = eventOf(deps, now, "work.logged", subject, { taskIds: input.taskIds });
  const changes: MachineChanges = {
    ...placed?.changes,
    events: [...(placed?.changes.events ?? []), event],
  };
  return { record, changes, reading: placed?.reading ?? null };
}

/** Totals when the work was done: of the reading that came with it, else the likeliest ones. */
function totalsOf(machine: Machine, at: Instant, reading: Reading | null, now: Instant) {
  const { meters } = assess({ ...machine, tasks: [] }, now);
  const totalIn = (meter: "distance" | "hours"): number | null =>
    reading?.meter === meter && reading.status === "accepted"
      ? reading.total
      : totalWhenDone(meters[meter], at);
  return { distance: totalIn("distance"), hours: totalIn("hours") };
}

function tasksOf(machine: Machine, ids: readonly string[]): KnownTask[] {
  return ids.map((id, index) => {
    const task = machine.tasks.find((one) => one.id === id);
    if (task) return task;
    throw refuseField(`#/taskIds/${index}`, "must be the id of a task of this vehicle");
  });
}

/** Which occurrence the work answers, and whether it lies within the permitted window of it. */
function workedTask(
  machine: Machine,
  task: KnownTask,
  done: DoneAt,
  totals: { distance: number | null; hours: number | null },
  now: Instant,
): WorkedTask {
  const worked = { taskId: task.id, title: task.title };
  const open = { ...worked, occurrence: null, inWindow: null };
  // Work older than what was logged last answers a due point that is long settled.
  if (task.logged && task.logged.at > done.doneAt) return open;
  const [assessed] = assess({ ...machine, tasks: [task] }, now).tasks;
  if (!assessed) return open;
  const due = duePoint(task.plan, assessed.last, machineFacts(machine), done.doneOn);
  if (due.state !== "point") return open;
  const verdict = workWindow(due.point, {
    on: done.doneOn,
    ...(totals.distance !== null && { distance: totals.distance }),
    ...(totals.hours !== null && { hours: totals.hours }),
  });
  return { ...worked, occurrence: due.point.occurrence, inWindow: verdict?.window ?? null };
}

export function worstOf(worked: readonly WorkedTask[]): WorkRecord["inWindow"] {
  if (worked.some(({ inWindow }) => inWindow === "outside")) return "outside";
  return worked.some(({ inWindow }) => inWindow === "within") ? "within" : null;
}

async function repeatedWork(
  tx: Transaction,
  vehicleId: string,
  { externalId }: WorkInput,
  given: Record<string, unknown>,
): Promise<WorkRecord | null> {
  if (externalId === null) return null;
  const { items } = await tx.work.list({ externalId }, { limit: 1, after: null });
  if (items[0]) requireSameContent(items[0], { ...given, vehicleId }, externalId);
  return items[0] ?? null;
}

/**
 * Refuses work by a member who is none; one who did it `before` may have left meanwhile.
 * @throws Refusal invalid
 */
export async function requireMember(
  tx: Transaction,
  performedBy: PerformedBy,
  before?: PerformedBy,
): Promise<void> {
  if (!("memberId" in performedBy)) return;
  const { memberId } = performedBy;
  if (before && "memberId" in before && before.memberId === memberId) return;
  if (!(await tx.members.find(memberId))) {
    throw refuseField("#/by/memberId", "must be the id of a member of this account");
  }
}
