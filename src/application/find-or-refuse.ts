import { type ExpectedVersion, requireVersion } from "../domain/failure/expected-version.ts";
import { Refusal } from "../domain/failure/failure.ts";
import type { Collection } from "./ports.ts";

/** The row, or a refusal that reads the same whether it is missing or another account's. */
export async function findOrRefuse<T extends { id: string; version: number }>(
  rows: Collection<T, never>,
  id: string,
  resource: string,
): Promise<T> {
  const row = await rows.find(id);
  if (!row) throw new Refusal({ kind: "notFound", resource });
  return row;
}

/** The row where it belongs to the vehicle and stands at a version that the caller expects. */
export async function findOfVehicle<T extends { id: string; version: number; vehicleId: string }>(
  rows: Collection<T, never>,
  vehicleId: string,
  id: string,
  resource: string,
  expected: ExpectedVersion = "any",
): Promise<T> {
  const row = await rows.find(id);
  if (row?.vehicleId !== vehicleId) throw new Refusal({ kind: "notFound", resource });
  requireVersion(expected, row.version, resource);
  return row;
}
