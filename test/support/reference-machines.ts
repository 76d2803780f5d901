import { readFileSync } from "node:fs";
import { fit as lawFrom, type RiddenHistory } from "../../src/domain/forecast/fit.ts";
import type { VehicleKind } from "../../src/domain/usage/kind.ts";

/** One of the forty simulated machines that are also computed independently (see the domain's test). */
export interface ReferenceMachine {
  id: string;
  input: {
    readings: [day: number, km: number][];
    asOf: number;
    threshold: number;
    kind: VehicleKind;
    declaredAnnualKm: number | null;
    layups: [from: number, to: number][];
    south: boolean;
  };
  /** What the first recipe says of it. */
  expected: { days: Record<string, number>; p21: number; odometer: Record<string, number> };
  intermediate: Record<string, number>;
}

export const REFERENCE_MACHINES: ReferenceMachine[] = JSON.parse(
  readFileSync(new URL("../domain/forecast/forecast-cases.json", import.meta.url), "utf8"),
).cases;

export function historyOf({ input }: ReferenceMachine): RiddenHistory {
  return {
    kind: input.kind,
    readings: input.readings.map(([day, km]) => ({ day, km })),
    asOf: input.asOf,
    declaredKmPerYear: input.declaredAnnualKm ?? undefined,
    layUps: input.layups.map(([from, to]) => ({ from, to })),
    south: input.south,
  };
}

/** The product's own law of the machine: what every way to it has to answer. */
export function lawOfReference(machine: ReferenceMachine) {
  const law = lawFrom(historyOf(machine));
  if (law === null) throw new Error(`${machine.id} has no reading`);
  return law;
}
