import type { Instant } from "../../domain/calendar/plain-date.ts";
import { Refusal } from "../../domain/failure/failure.ts";
import type { DistanceUnit } from "../../domain/units/distance.ts";
import { type Caller, requireVehicle } from "../caller.ts";
import { type Deps, eventOf } from "../deps.ts";
import { findOfVehicle } from "../find-or-refuse.ts";
import { timeOf } from "../machine/assess.ts";
import { refreshMachine } from "../machine/refresh.ts";
import type { Machine, Transaction } from "../ports.ts";
import type { Reading } from "../records.ts";
import { placeReading } from "./place-reading.ts";
import type { RecordedReading } from "./record-reading.ts";

export interface Correction {
  value: number;
  unit: DistanceUnit | "h" | null;
  at: Instant | null;
}

/** A person looked again: the reading is right, counts from now on, and is not held again. */
export async function confirmReading(
  tx: Transaction,
  caller: Caller,
  vehicleId: string,
  readingId: string,
  deps: Deps,
): Promise<RecordedReading> {
  const { machine, reading, now } = await openReading(tx, caller, vehicleId, readingId, deps);
  const confirmed = await tx.readings.update(readingId, reading.version, {
    status: "accepted",
    confirmed: true,
    reasons: [],
    updatedAt: now,
  });
  await settleWork(tx, confirmed, now);
  await tx.machine.write(
    { events: [changed(machine, confirmed, { confirmed: true }, now, deps)] },
    now,
  );
  const assessed = await refreshMachine(tx, vehicleId, deps);
  return { reading: confirmed, isNew: false, assessed };
}

/** A slip is put right: the new reading stands in place of the old one, which stays as superseded. */
export async function correctReading(
  tx: Transaction,
  caller: Caller,
  vehicleId: string,
  readingId: string,
  { value, unit, at }: Correction,
  deps: Deps,
): Promise<RecordedReading> {
  const { machine, reading, now } = await openReading(tx, caller, vehicleId, readingId, deps);
  const input = {
    value,
    unit: unit ?? reading.unit,
    at: at ?? reading.at,
    source: reading.source,
    note: reading.note,
    workRecordId: reading.workRecordId,
    replacesId: reading.id,
  };
  const placed = placeReading(machine, input, now, deps);
  const superseded = { status: "superseded" as const, updatedAt: now };
  await tx.readings.update(readingId, reading.version, superseded);
  const data = { replacedBy: placed.reading.id };
  const events = [changed(machine, reading, data, now, deps), ...(placed.changes.events ?? [])];
  await tx.machine.write({ ...placed.changes, events }, now);
  await settleWork(tx, placed.reading, now);
  const assessed = await refreshMachine(tx, vehicleId, deps);
  return { reading: placed.reading, isNew: placed.isNew, assessed };
}

async function openReading(
  tx: Transaction,
  caller: Caller,
  vehicleId: string,
  readingId: string,
  deps: Deps,
): Promise<{ machine: Machine; reading: Reading; now: Instant }> {
  const machine = await tx.machine.load(vehicleId, true);
  requireVehicle(caller, machine?.vehicle, "postReadings");
  if (!machine) throw new Refusal({ kind: "notFound", resource: "vehicle" });
  const reading = await findOfVehicle(tx.readings, vehicleId, readingId, "reading");
  if (reading.status === "superseded") {
    throw new Refusal({
      kind: "conflict",
      detail: "This reading has been corrected already; settle the one that replaced it.",
    });
  }
  return { machine, reading, now: timeOf(machine, deps.clock()) };
}

/** Work counts from its reading: once that is settled, the work's totals follow it. */
async function settleWork(tx: Transaction, reading: Reading, now: Instant): Promise<void> {
  if (reading.workRecordId === null || reading.status !== "accepted") return;
  const record = await tx.work.find(reading.workRecordId);
  if (!record) return;
  await tx.work.update(record.id, record.version, {
    [reading.meter]: reading.total,
    updatedAt: now,
  });
}

function changed(
  machine: Machine,
  reading: Reading,
  data: Record<string, unknown>,
  now: Instant,
  deps: Deps,
) {
  const subject = { resourceId: reading.id, vehicleId: machine.vehicle.id };
  return eventOf(deps, now, "reading.corrected", subject, data);
}
