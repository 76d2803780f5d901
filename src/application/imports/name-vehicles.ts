import { type Caller, seesVehicle } from "../caller.ts";
import type { RowFault } from "./import-report.ts";
import type { ImportLedger, NamedVehicle, VehicleFacts } from "./ports.ts";

/** Machines that are remembered between two parts of a file. */
const REMEMBERED = 20_000;

/** Finds the machines that rows name, as far as the caller sees them; foreign ones are missing ones. */
export class VehicleNames {
  readonly #ledger: Pick<ImportLedger, "vehiclesNamed">;
  readonly #caller: Caller;
  readonly #byName = new Map<string, VehicleFacts | null>();

  constructor(ledger: Pick<ImportLedger, "vehiclesNamed">, caller: Caller) {
    this.#ledger = ledger;
    this.#caller = caller;
  }

  /** Looks up at once what these rows name and is not known yet. */
  async prepare(rows: readonly NamedVehicle[]): Promise<void> {
    if (this.#byName.size > REMEMBERED) this.#byName.clear();
    const ids = new Set<string>();
    const externalIds = new Set<string>();
    for (const { vehicleId, vehicleExternalId } of rows) {
      if (vehicleId !== undefined && !this.#byName.has(byId(vehicleId))) ids.add(vehicleId);
      if (vehicleExternalId !== undefined && !this.#byName.has(byExternalId(vehicleExternalId))) {
        externalIds.add(vehicleExternalId);
      }
    }
    if (ids.size + externalIds.size === 0) return;
    const found = await this.#ledger.vehiclesNamed([...ids], [...externalIds]);
    for (const id of ids) this.#byName.set(byId(id), null);
    for (const externalId of externalIds) this.#byName.set(byExternalId(externalId), null);
    for (const vehicle of found.filter((one) => seesVehicle(this.#caller, one))) {
      this.#byName.set(byId(vehicle.id), vehicle);
      if (vehicle.externalId !== null) {
        this.#byName.set(byExternalId(vehicle.externalId), vehicle);
      }
    }
  }

  /** The machine of a row that was prepared, or why there is none. */
  find({ vehicleId, vehicleExternalId }: NamedVehicle): VehicleFacts | RowFault {
    if (vehicleId === undefined && vehicleExternalId === undefined) {
      return { column: "vehicleId", detail: "is required, or vehicleExternalId in its place" };
    }
    const named = vehicleId === undefined ? undefined : this.#byName.get(byId(vehicleId));
    if (named === null) {
      return { column: "vehicleId", detail: "must be the id of a vehicle that this key can see" };
    }
    if (vehicleExternalId === undefined) return named as VehicleFacts;
    const other = this.#byName.get(byExternalId(vehicleExternalId));
    if (!other) {
      const detail = "must be the externalId of a vehicle that this key can see";
      return { column: "vehicleExternalId", detail };
    }
    if (named && named.id !== other.id) {
      return { column: "vehicleExternalId", detail: "must name the same vehicle as vehicleId" };
    }
    return other;
  }
}

const byId = (id: string) => `id ${id}`;
const byExternalId = (externalId: string) => `externalId ${externalId}`;
