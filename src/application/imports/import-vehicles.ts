import { requireRight } from "../caller.ts";
import type { Deps } from "../deps.ts";
import type { Replay } from "../ports.ts";
import { requireSameContent } from "../repeat-external-id.ts";
import { addVehicle, type VehicleInput } from "../vehicles.ts";
import type { ImportRequest } from "./import-request.ts";
import { importRows } from "./import-rows.ts";
import { ownId } from "./own-id.ts";
import type { RowSource } from "./ports.ts";

export interface VehicleRow {
  input: Omit<VehicleInput, "responsibleMemberId"> & { responsibleMemberId: string | null };
  /** What stood in the file, by the names of the stored vehicle. */
  given: Record<string, unknown>;
}

/** Adds the machines of a file, each as one that is posted alone: all of them or none. */
export function importVehicles<A>(
  source: RowSource<VehicleRow>,
  request: ImportRequest<A>,
  deps: Deps,
): Promise<A | Replay> {
  requireRight(request.caller, "changeMachines");
  return importRows(
    source,
    request,
    () => ({
      kind: "vehicles",
      // A machine that is new has no other to be put in order with: lines stay in the file's order.
      place: () => ({ vehicleId: null, at: 0 }),
      async take({ line, value }, { tx }, report) {
        const { input, given } = value;
        const exported = await ownId(tx.vehicles, input.externalId);
        if (exported) {
          requireSameContent(exported, { ...given, externalId: undefined }, exported.id);
          return report.repeat(line, exported.id);
        }
        const { vehicle, isNew } = await addVehicle(tx, request.caller, input, given, deps);
        if (isNew) report.made(vehicle.id);
        else report.repeat(line, vehicle.id);
      },
    }),
    deps,
  );
}
