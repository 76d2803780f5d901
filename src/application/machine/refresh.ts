import { Refusal } from "../../domain/failure/failure.ts";
import type { Deps } from "../deps.ts";
import type { Transaction } from "../ports.ts";
import { type Assessed, assess, timeOf } from "./assess.ts";
import { planReminders } from "./plan.ts";

type MachineTransaction = Pick<Transaction, "machine">;

/** Reads the machine anew, plans its reminders and answers how it stands; the vehicle stays locked. */
export async function refreshMachine(
  tx: MachineTransaction,
  vehicleId: string,
  deps: Deps,
): Promise<Assessed> {
  const machine = await tx.machine.load(vehicleId, true);
  if (!machine) throw new Refusal({ kind: "notFound", resource: "vehicle" });
  const assessed = assess(machine, timeOf(machine, deps.clock()));
  await tx.machine.write(planReminders(assessed, deps), assessed.now);
  return assessed;
}
