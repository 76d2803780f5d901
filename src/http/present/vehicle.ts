import type { LayUp, MeterChangeRecord, Vehicle } from "../../application/records.ts";
import type { VehicleToday } from "../../application/vehicle-status.ts";
import { shownInstant, shownStored } from "./shown.ts";

export function shownVehicle({ vehicle, status }: VehicleToday) {
  return shownStored(vehicle, Object.assign(writableVehicle(vehicle), { status }));
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

export function shownLayUp(layUp: LayUp) {
  const { vehicleId, from, to, reason } = layUp;
  return shownStored(layUp, { vehicleId, from, to, reason });
}

export function shownMeterChange(change: MeterChangeRecord) {
  const { vehicleId, meter, at, before, after, note } = change;
  return shownStored(change, { vehicleId, meter, at: shownInstant(at), before, after, note });
}
