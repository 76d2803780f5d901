import type { Instant } from "../domain/calendar/plain-date.ts";
import { refuseField } from "../domain/failure/failure.ts";
import { futureFault } from "../domain/meter/future-fault.ts";
import { totalOf } from "../domain/meter/total.ts";
import { convertDistance, type DistanceUnit } from "../domain/units/distance.ts";
import { type Caller, requireVehicle } from "./caller.ts";
import { accountTime, type Deps, eventOf, fresh } from "./deps.ts";
import { refreshMachine } from "./machine/refresh.ts";
import type { Transaction } from "./ports.ts";
import type { MeterChangeRecord, MeterName, Reading, Vehicle } from "./records.ts";

export interface MeterChangeInput {
  meter: MeterName;
  at: Instant;
  before: number | null;
  after: number;
  note: string | null;
}

/**
 * The instrument was replaced or rolled over. Readings that were posted after `at` showed the new
 * instrument, so their totals are worked out anew; the totals before it stay.
 */
export async function addMeterChange(
  tx: Transaction,
  caller: Caller,
  vehicleId: string,
  input: MeterChangeInput,
  deps: Deps,
): Promise<MeterChangeRecord> {
  const vehicle = requireVehicle(caller, await tx.vehicles.find(vehicleId), "changeMachines");
  const now = await accountTime(tx, deps);
  if (futureFault(input.at, now)) throw refuseField("#/at", "must not lie in the future");
  const machine = await tx.machine.load(vehicleId, true);
  if (
    machine?.meterChanges.some((change) => change.meter === input.meter && change.at === input.at)
  ) {
    throw refuseField("#/at", "a change of this meter at this very instant is known already");
  }
  const before = input.before ?? (await shownBefore(tx, vehicle, input));
  const change = await tx.meterChanges.insert({ ...fresh(deps, now), vehicleId, ...input, before });
  const changes = await changesOf(tx, vehicleId, input.meter);
  const later = (await readingsSince(tx, vehicleId, input)).map((reading) => ({
    reading,
    total: totalOf(inMeterUnit(reading, vehicle.meterUnit), reading.at, changes),
  }));
  await tx.setTotals(
    later.map(({ reading, total }) => ({ id: reading.id, total })),
    now,
  );
  await moveWork(tx, later, now);
  const subject = { resourceId: vehicleId, vehicleId };
  const data = { meterChangeId: change.id };
  await tx.machine.write({ events: [eventOf(deps, now, "vehicle.changed", subject, data)] }, now);
  await refreshMachine(tx, vehicleId, deps);
  return change;
}

/**
 * What the old instrument was last seen to show, for a change that does not tell: at the last
 * accepted reading before the change, or when that instrument was itself put in, if that is later.
 */
async function shownBefore(
  tx: Transaction,
  { id: vehicleId, meterUnit }: Vehicle,
  { meter, at }: MeterChangeInput,
): Promise<number | null> {
  const filter = { vehicleId, meter, status: "accepted", to: at };
  const [reading] = (await tx.readings.list(filter, { limit: 1, after: null })).items;
  const earlier = await changesOf(tx, vehicleId, meter);
  const fitted = earlier.find((change) => change.at < at);
  if (fitted && (!reading || reading.at < fitted.at)) return fitted.after;
  return reading ? inMeterUnit(reading, meterUnit) : null;
}

/** Work counts from its reading, and so from its new total. */
async function moveWork(
  tx: Transaction,
  later: readonly { reading: Reading; total: number }[],
  now: Instant,
): Promise<void> {
  for (const { reading, total } of later) {
    if (reading.workRecordId === null || reading.status !== "accepted") continue;
    const record = await tx.work.find(reading.workRecordId);
    if (!record) continue;
    await tx.work.update(record.id, record.version, { [reading.meter]: total, updatedAt: now });
  }
}

/** What a reading showed, in the unit of its meter. */
function inMeterUnit(
  { value, unit }: Pick<Reading, "value" | "unit">,
  meterUnit: DistanceUnit,
): number {
  return unit === "h" ? value : convertDistance(value, unit, meterUnit);
}

async function changesOf(tx: Transaction, vehicleId: string, meter: MeterName) {
  const { items } = await tx.meterChanges.list({ vehicleId }, { limit: 1000, after: null });
  return items
    .filter((change) => change.meter === meter)
    .map(({ at, before, after }) => ({ at, after, ...(before !== null && { before }) }));
}

async function readingsSince(
  tx: Transaction,
  vehicleId: string,
  { meter, at }: MeterChangeInput,
): Promise<Reading[]> {
  const found: Reading[] = [];
  const filter = { vehicleId, meter, from: at };
  for (let after = null, more = true; more; ) {
    const page = await tx.readings.list(filter, { limit: 1000, after });
    found.push(...page.items);
    after = page.next as null;
    more = page.next !== null;
  }
  return found;
}
