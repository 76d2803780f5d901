import { Refusal } from "../../domain/failure/failure.ts";
import { type Caller, requireVehicle } from "../caller.ts";
import type { Deps } from "../deps.ts";
import { type Assessed, assess, timeOf } from "../machine/assess.ts";
import { planReminders } from "../machine/plan.ts";
import type { Machine, MachineChanges, ReadingTransaction } from "../ports.ts";
import type { Reading } from "../records.ts";
import { requireSameContent } from "../repeat-external-id.ts";
import { placeReading, type ReadingInput } from "./place-reading.ts";

export interface RecordedReading {
  reading: Reading;
  /** False for one that was posted before. */
  isNew: boolean;
  /** The machine as it stands with the reading. */
  assessed: Assessed;
}

/**
 * Records a reading: judges it, forecasts the machine's tasks anew and plans their reminders, in one
 * look at the database and one write.
 */
export async function recordReading(
  tx: ReadingTransaction,
  caller: Caller | null,
  vehicleId: string,
  inputOf: (machine: Machine, now: number) => ReadingInput,
  given: Record<string, unknown>,
  deps: Deps,
): Promise<RecordedReading> {
  const machine = await tx.machine.load(vehicleId, true);
  if (!machine) throw new Refusal({ kind: "notFound", resource: "vehicle" });
  if (caller) requireVehicle(caller, machine.vehicle, "postReadings");
  const now = timeOf(machine, deps.clock());
  const input = inputOf(machine, now);
  if (input.externalId) {
    const existing = await tx.readingByExternalId(input.externalId);
    if (existing) {
      requireSameContent(existing, { ...given, vehicleId }, input.externalId);
      return { reading: existing, isNew: false, assessed: assess(machine, now) };
    }
  }
  const placed = placeReading(machine, input, now, deps);
  const assessed = assess(placed.machine, now);
  if (placed.isNew) {
    await tx.machine.write(merged(placed.changes, planReminders(assessed, deps)), now);
  }
  return { reading: placed.reading, isNew: placed.isNew, assessed };
}

/** Both in one write; events of both are kept in their order. */
export function merged(first: MachineChanges, second: MachineChanges): MachineChanges {
  return { ...first, ...second, events: [...(first.events ?? []), ...(second.events ?? [])] };
}
