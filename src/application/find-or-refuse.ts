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

/**
 * The row has moved on since it was read in this very transaction. Whoever runs the transaction tries
 * it again: then the version that the caller named decides, and none where the caller named none.
 */
export class LostRace extends Refusal {
  constructor(resource: string) {
    super({ kind: "preconditionFailed", resource });
  }
}

/** A row as it was written. @throws LostRace where another request was first */
export function writtenOrRefuse<T>(row: T | null, resource: string): T {
  if (row === null) throw new LostRace(resource);
  return row;
}
