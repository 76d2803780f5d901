import { type ExpectedVersion, requireVersion } from "../domain/failure/expected-version.ts";
import { Refusal, refuseField } from "../domain/failure/failure.ts";
import { type Caller, requireRight, requireVehicle } from "./caller.ts";
import { accountTime, type Deps, eventOf, fresh } from "./deps.ts";
import { refreshMachine } from "./machine/refresh.ts";
import type { Transaction } from "./ports.ts";
import type { Vehicle } from "./records.ts";
import { requireFreeExternalId, requireSameContent } from "./repeat-external-id.ts";
import { putOn } from "./schedules/put-on.ts";

export type VehicleInput = Omit<Vehicle, "id" | "version" | "createdAt" | "updatedAt">;

/** Adds a machine; without a responsible member the owner is the one. */
export async function addVehicle(
  tx: Transaction,
  caller: Caller,
  input: Omit<VehicleInput, "responsibleMemberId"> & { responsibleMemberId: string | null },
  given: Record<string, unknown>,
  deps: Deps,
): Promise<{ vehicle: Vehicle; isNew: boolean }> {
  requireRight(caller, "changeMachines");
  if (caller.vehicleIds) {
    throw new Refusal({ kind: "forbidden", need: "a key that is not bound to vehicles" });
  }
  const existing = input.externalId ? await vehicleByExternalId(tx, input.externalId) : null;
  if (existing) {
    requireSameContent(existing, given, String(input.externalId));
    return { vehicle: existing, isNew: false };
  }
  const responsibleMemberId = await responsibleOrOwner(tx, input.responsibleMemberId);
  const now = await accountTime(tx, deps);
  const bare = { ...input, responsibleMemberId, scheduleId: null };
  const vehicle = await tx.vehicles.insert({ ...fresh(deps, now), ...bare });
  await note(tx, deps, now, vehicle, { added: true });
  if (input.scheduleId === null) return { vehicle, isNew: true };
  await standBy(tx, vehicle, input.scheduleId, now, deps);
  return { vehicle: await findVehicle(tx, caller, vehicle.id), isNew: true };
}

export async function findVehicle(tx: Transaction, caller: Caller, id: string): Promise<Vehicle> {
  return requireVehicle(caller, await tx.vehicles.find(id));
}

export async function changeVehicle(
  tx: Transaction,
  caller: Caller,
  id: string,
  expected: ExpectedVersion,
  patch: (vehicle: Vehicle) => VehicleInput,
  deps: Deps,
): Promise<Vehicle> {
  const vehicle = requireVehicle(caller, await tx.vehicles.find(id), "changeMachines");
  requireVersion(expected, vehicle.version, "vehicle");
  const input = patch(vehicle);
  await requireUnchangedMeter(tx, vehicle, input);
  await responsibleOrOwner(tx, input.responsibleMemberId);
  await requireFreeExternalId(tx.vehicles, vehicle, input.externalId);
  const now = await accountTime(tx, deps);
  const { scheduleId, ...fields } = input;
  const stands = scheduleId !== vehicle.scheduleId;
  // Whoever changes the schedule locks it first and its machines then.
  if (stands && scheduleId !== null) await tx.scheduled.lockSchedule(scheduleId);
  await tx.vehicles.update(id, vehicle.version, { ...fields, updatedAt: now });
  await note(tx, deps, now, vehicle, {});
  if (stands) await standBy(tx, vehicle, scheduleId, now, deps);
  await refreshMachine(tx, id, deps);
  return findVehicle(tx, caller, id);
}

/**
 * Puts a shared schedule on the machine in place of the one that stood there; with null its tasks
 * stay, as the machine's own.
 */
async function standBy(
  tx: Transaction,
  { id }: Vehicle,
  scheduleId: string | null,
  now: number,
  deps: Deps,
): Promise<void> {
  if (scheduleId === null) {
    await tx.scheduled.release(id, now);
    await tx.scheduled.stand([id], null, now);
    return;
  }
  await tx.scheduled.lockSchedule(scheduleId);
  const schedule = await tx.schedules.find(scheduleId);
  if (!schedule) throw refuseField("#/scheduleId", "must be the id of a schedule of this account");
  await putOn(tx, schedule, [id], "unknown", now, deps);
}

/** Removes a machine with everything that belongs to it; to keep its history, set `disposedOn`. */
export async function removeVehicle(
  tx: Transaction,
  caller: Caller,
  id: string,
  expected: ExpectedVersion,
  deps: Deps,
): Promise<void> {
  const vehicle = requireVehicle(caller, await tx.vehicles.find(id), "changeMachines");
  requireVersion(expected, vehicle.version, "vehicle");
  const now = await accountTime(tx, deps);
  if (!(await tx.vehicles.remove(id, vehicle.version))) {
    throw new Refusal({ kind: "preconditionFailed", resource: "vehicle" });
  }
  await note(tx, deps, now, vehicle, { removed: true });
}

/** The stored totals, marks and intervals count in the meter's unit, so it stays once there are any. */
async function requireUnchangedMeter(
  tx: Transaction,
  vehicle: Vehicle,
  input: VehicleInput,
): Promise<void> {
  if (input.meterUnit === vehicle.meterUnit) return;
  const page = { limit: 1, after: null };
  const readings = await tx.readings.list({ vehicleId: vehicle.id }, page);
  const tasks = await tx.tasks.list({ vehicleId: vehicle.id }, page);
  if (readings.items.length + tasks.items.length === 0) return;
  throw refuseField(
    "#/meterUnit",
    `must stay "${vehicle.meterUnit}" once there are readings or tasks; a reading may carry its own unit`,
  );
}

async function responsibleOrOwner(tx: Transaction, id: string | null): Promise<string> {
  if (id === null) return (await tx.owner()).id;
  const member = await tx.members.find(id);
  if (!member)
    throw refuseField("#/responsibleMemberId", "must be the id of a member of this account");
  return member.id;
}

async function vehicleByExternalId(tx: Transaction, externalId: string): Promise<Vehicle | null> {
  const { items } = await tx.vehicles.list({ externalId }, { limit: 1, after: null });
  return items[0] ?? null;
}

async function note(
  tx: Transaction,
  deps: Deps,
  now: number,
  { id }: Vehicle,
  data: Record<string, unknown>,
): Promise<void> {
  const subject = { resourceId: id, vehicleId: id };
  await tx.machine.write({ events: [eventOf(deps, now, "vehicle.changed", subject, data)] }, now);
}
