import type {
  LayUp,
  MeterChangeRecord,
  Vehicle,
  VehicleStatus,
} from "../../application/records.ts";
import type { PlainDate } from "../../domain/calendar/plain-date.ts";
import { shownInstant, shownStored } from "./shown.ts";

export function shownVehicle(
  vehicle: Vehicle,
  layUps: readonly Pick<LayUp, "from" | "to">[],
  today: PlainDate,
) {
  return {
    ...shownStored(vehicle),
    ...writableVehicle(vehicle),
    status: statusOf(vehicle, layUps, today),
  };
}

/** The writable part of a vehicle, as a caller would write it. */
export function writableVehicle(vehicle: Vehicle) {
  const {
    id: _id,
    version: _version,
    createdAt: _created,
    updatedAt: _updated,
    ...fields
  } = vehicle;
  return fields;
}

function statusOf(
  vehicle: Vehicle,
  layUps: readonly Pick<LayUp, "from" | "to">[],
  today: PlainDate,
): VehicleStatus {
  if (vehicle.disposedOn !== null && vehicle.disposedOn <= today) return "disposed";
  if (vehicle.offRoad) return "offRoad";
  const laidUp = layUps.some(({ from, to }) => from <= today && (to === null || today < to));
  return laidUp ? "laidUp" : "inUse";
}

export function shownLayUp(layUp: LayUp) {
  const { vehicleId, from, to, reason } = layUp;
  return { ...shownStored(layUp), vehicleId, from, to, reason };
}

export function shownMeterChange(change: MeterChangeRecord) {
  const { vehicleId, meter, at, before, after, note } = change;
  return { ...shownStored(change), vehicleId, meter, at: shownInstant(at), before, after, note };
}
