import type { RowFault } from "../../application/imports/import-report.ts";
import type { VehicleRow } from "../../application/imports/import-vehicles.ts";
import { vehicleBody } from "../schemas/vehicle.ts";
import { booleanIn, checked, numberIn } from "./cells.ts";
import type { Cells } from "./read-table.ts";

export const VEHICLE_COLUMNS = Object.keys(vehicleBody.shape) as (keyof typeof vehicleBody.shape)[];

export const VEHICLE_NEEDS = ["name", "kind", "meterUnit"];

const NUMBERS: ReadonlySet<string> = new Set(["modelYear", "declaredPerYear"]);
const BOOLEANS: ReadonlySet<string> = new Set(["hoursMeter", "offRoad"]);

/** A row of vehicles, checked as a vehicle that is posted alone. */
export function vehicleRow(cells: Cells): VehicleRow | { faults: RowFault[] } {
  const body: Record<string, unknown> = {};
  for (const [index, column] of VEHICLE_COLUMNS.entries()) {
    const cell = cells[index];
    if (NUMBERS.has(column)) body[column] = numberIn(cell);
    else body[column] = BOOLEANS.has(column) ? booleanIn(cell) : cell;
  }
  const read = checked(vehicleBody, body);
  if ("faults" in read) return read;
  return { input: read.value, given: givenVehicle(read.value) };
}

/** A responsible member who was not told is worked out, and so is no content to compare. */
export function givenVehicle({ responsibleMemberId, ...rest }: Record<string, unknown>) {
  return responsibleMemberId === null ? rest : { ...rest, responsibleMemberId };
}
