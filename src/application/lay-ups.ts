import type { PlainDate } from "../domain/calendar/plain-date.ts";
import type { ExpectedVersion } from "../domain/failure/expected-version.ts";
import { Refusal, refuseField } from "../domain/failure/failure.ts";
import { type Caller, requireVehicle } from "./caller.ts";
import { accountTime, type Deps, eventOf, fresh } from "./deps.ts";
import { findOfVehicle } from "./find-or-refuse.ts";
import { refreshMachine } from "./machine/refresh.ts";
import type { Transaction } from "./ports.ts";
import type { LayUp } from "./records.ts";

export interface LayUpInput {
  from: PlainDate;
  to: PlainDate | null;
  reason: string | null;
}

/** `null` as caller, here and below: a mailed link, bound to the machine. */
export async function addLayUp(
  tx: Transaction,
  caller: Caller | null,
  vehicleId: string,
  input: LayUpInput,
  deps: Deps,
): Promise<LayUp> {
  if (caller) requireVehicle(caller, await tx.vehicles.find(vehicleId), "postReadings");
  await tx.machine.lock(vehicleId);
  requireOrder(input);
  const now = await accountTime(tx, deps);
  const layUp = await tx.layUps.insert({ ...fresh(deps, now), vehicleId, ...input });
  await afterChange(tx, deps, now, layUp);
  return layUp;
}

export async function changeLayUp(
  tx: Transaction,
  caller: Caller | null,
  vehicleId: string,
  id: string,
  expected: ExpectedVersion,
  patch: (layUp: LayUp) => LayUpInput,
  deps: Deps,
): Promise<LayUp> {
  if (caller) requireVehicle(caller, await tx.vehicles.find(vehicleId), "postReadings");
  await tx.machine.lock(vehicleId);
  const layUp = await findOfVehicle(tx.layUps, vehicleId, id, "lay-up", expected);
  const input = patch(layUp);
  requireOrder(input);
  const now = await accountTime(tx, deps);
  const written = await tx.layUps.update(id, layUp.version, { ...input, updatedAt: now });
  await afterChange(tx, deps, now, written);
  return written;
}

export async function removeLayUp(
  tx: Transaction,
  caller: Caller,
  vehicleId: string,
  id: string,
  expected: ExpectedVersion,
  deps: Deps,
): Promise<void> {
  requireVehicle(caller, await tx.vehicles.find(vehicleId), "postReadings");
  await tx.machine.lock(vehicleId);
  const layUp = await findOfVehicle(tx.layUps, vehicleId, id, "lay-up", expected);
  if (!(await tx.layUps.remove(id, layUp.version))) {
    throw new Refusal({ kind: "preconditionFailed", resource: "lay-up" });
  }
  await afterChange(tx, deps, await accountTime(tx, deps), layUp);
}

function requireOrder({ from, to }: LayUpInput): void {
  if (to !== null && to <= from) {
    throw refuseField("#/to", `must lie after from (${from}): it is the first day of use again`);
  }
}

async function afterChange(tx: Transaction, deps: Deps, now: number, layUp: LayUp): Promise<void> {
  const subject = { resourceId: layUp.vehicleId, vehicleId: layUp.vehicleId };
  const data = { layUpId: layUp.id };
  await tx.machine.write({ events: [eventOf(deps, now, "vehicle.changed", subject, data)] }, now);
  await refreshMachine(tx, layUp.vehicleId, deps);
}
