import type { DueFigures } from "../../domain/due/due-point.ts";
import { shownFor } from "../../domain/meter/total.ts";
import type { Machine } from "../ports.ts";
import { changesOf } from "../readings/place-reading.ts";

type Metered = Pick<Machine, "meterChanges">;

/** What the present distance instrument shows at a total: how due points are told to people. */
export function distanceShown(machine: Metered, total: number): number {
  return shownFor(total, changesOf(machine, "distance"));
}

/** The total at which the present distance instrument shows a figure. */
export function totalShownAs(machine: Metered, shown: number): number {
  return shown - distanceShown(machine, 0);
}

/** A due point's figures as the present instruments will show them. */
export function figuresShown(machine: Metered, { distance, hours, date }: DueFigures): DueFigures {
  return {
    ...(distance !== undefined && { distance: distanceShown(machine, distance) }),
    ...(hours !== undefined && { hours: shownFor(hours, changesOf(machine, "hours")) }),
    ...(date !== undefined && { date }),
  };
}
