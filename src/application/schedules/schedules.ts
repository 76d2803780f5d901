import { type ExpectedVersion, requireVersion } from "../../domain/failure/expected-version.ts";
import { Refusal, refuseField } from "../../domain/failure/failure.ts";
import { type Caller, requireRight, seesVehicle } from "../caller.ts";
import { accountTime, type Deps, eventOf, fresh } from "../deps.ts";
import { findOrRefuse } from "../find-or-refuse.ts";
import type { Transaction } from "../ports.ts";
import type { Schedule, StatedWork, Stored } from "../records.ts";
import { requireFreeExternalId, requireSameContent } from "../repeat-external-id.ts";
import { type PutOn, putOn } from "./put-on.ts";

export type ScheduleInput = Omit<Schedule, keyof Stored>;

/** Adds a schedule; it stands on no machine yet. */
export async function addSchedule(
  tx: Transaction,
  caller: Caller,
  externalId: string | null,
  inputOf: (before: Schedule | null) => ScheduleInput,
  deps: Deps,
): Promise<{ schedule: Schedule; isNew: boolean }> {
  requireSharing(caller);
  const existing = externalId === null ? null : await byExternalId(tx, externalId);
  const input = inputOf(existing);
  if (existing) {
    const { lines: tasks, ...fields } = input;
    const stored = { ...existing, tasks: plainly(existing.lines) };
    requireSameContent(stored, { ...fields, tasks: plainly(tasks) }, String(externalId));
    return { schedule: existing, isNew: false };
  }
  const now = await accountTime(tx, deps);
  const schedule = await tx.schedules.insert({ ...fresh(deps, now), ...input });
  await note(tx, schedule, now, deps);
  return { schedule, isNew: true };
}

/** As it is stored: without the members that are undefined. */
function plainly(lines: Schedule["lines"]): unknown {
  return JSON.parse(JSON.stringify(lines));
}

/** Changes a schedule, and with it the tasks of every machine on which it stands. */
export async function changeSchedule(
  tx: Transaction,
  caller: Caller,
  id: string,
  expected: ExpectedVersion,
  patch: (schedule: Schedule) => ScheduleInput,
  deps: Deps,
): Promise<Schedule> {
  requireSharing(caller);
  const schedule = await lockedSchedule(tx, id);
  requireVersion(expected, schedule.version, "schedule");
  const input = patch(schedule);
  await requireFreeExternalId(tx.schedules, schedule, input.externalId);
  const now = await accountTime(tx, deps);
  const written = await tx.schedules.update(id, schedule.version, { ...input, updatedAt: now });
  await note(tx, written, now, deps);
  await putOn(tx, written, await tx.scheduled.machinesOf(id), "unknown", now, deps);
  return written;
}

/** Removes a schedule that stands on no machine. */
export async function removeSchedule(
  tx: Transaction,
  caller: Caller,
  id: string,
  expected: ExpectedVersion,
  deps: Deps,
): Promise<void> {
  requireSharing(caller);
  const schedule = await lockedSchedule(tx, id);
  requireVersion(expected, schedule.version, "schedule");
  const { length } = await tx.scheduled.machinesOf(id);
  if (length > 0) {
    throw new Refusal({
      kind: "conflict",
      detail: `It stands on ${length === 1 ? "a machine" : `${length} machines`}. Set their scheduleId to null or to another schedule first.`,
    });
  }
  await tx.schedules.remove(id, schedule.version);
  await note(tx, schedule, await accountTime(tx, deps), deps);
}

/** Puts a schedule on vehicles, whatever stood on them before; `statedWork` is for the tasks that are new. */
export async function putScheduleOn(
  tx: Transaction,
  caller: Caller,
  id: string,
  vehicleIds: readonly string[],
  statedWork: StatedWork,
  deps: Deps,
): Promise<PutOn> {
  requireRight(caller, "changeMachines");
  const schedule = await lockedSchedule(tx, id);
  const found = await tx.vehicles.list(
    { ids: [...vehicleIds] },
    { limit: vehicleIds.length, after: null },
  );
  const seen = new Set(found.items.filter((one) => seesVehicle(caller, one)).map((one) => one.id));
  for (const [index, vehicleId] of vehicleIds.entries()) {
    if (!seen.has(vehicleId)) {
      throw refuseField(`#/vehicleIds/${index}`, "must be the id of a vehicle of this account");
    }
  }
  return putOn(tx, schedule, [...seen], statedWork, await accountTime(tx, deps), deps);
}

async function lockedSchedule(tx: Transaction, id: string): Promise<Schedule> {
  await tx.scheduled.lockSchedule(id);
  return findOrRefuse(tx.schedules, id, "schedule");
}

/** A schedule speaks for more machines than a key that is bound to some may touch. */
function requireSharing(caller: Caller): void {
  requireRight(caller, "changeMachines");
  if (caller.vehicleIds) {
    throw new Refusal({ kind: "forbidden", need: "a key that is not bound to vehicles" });
  }
}

async function byExternalId(tx: Transaction, externalId: string): Promise<Schedule | null> {
  const { items } = await tx.schedules.list({ externalId }, { limit: 1, after: null });
  return items[0] ?? null;
}

async function note(tx: Transaction, { id }: Schedule, now: number, deps: Deps): Promise<void> {
  const event = eventOf(deps, now, "schedule.changed", { resourceId: id }, { scheduleId: id });
  await tx.machine.write({ events: [event] }, now);
}
