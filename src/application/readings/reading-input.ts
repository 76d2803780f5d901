import type { Instant } from "../../domain/calendar/plain-date.ts";
import { refuseField } from "../../domain/failure/failure.ts";
import type { DistanceUnit } from "../../domain/units/distance.ts";
import type { MeterName, ReadingSource, Vehicle } from "../records.ts";
import type { ReadingInput } from "./place-reading.ts";

/** A reading as it is posted, before what was not told is filled in. */
export interface PostedReading {
  value: number;
  at?: Instant | undefined;
  unit?: DistanceUnit | "h" | undefined;
  meter: MeterName;
  source: ReadingSource;
  note: string | null;
  externalId: string | null;
}

/**
 * A reading's unit is its meter's own, if not told; hours are hours.
 * @throws Refusal invalid, its pointers beginning with `pointer`
 */
export function readingInputOf(
  { value, at, unit, meter, source, note, externalId }: PostedReading,
  vehicle: Pick<Vehicle, "meterUnit" | "hoursMeter">,
  now: Instant,
  pointer = "#",
): ReadingInput & { unit: DistanceUnit | "h" } {
  const own = meter === "hours" ? "h" : vehicle.meterUnit;
  if (unit !== undefined && (unit === "h") !== (meter === "hours")) {
    throw refuseField(
      `${pointer}/unit`,
      meter === "hours" ? 'must be "h"' : 'must be "km" or "mi"',
    );
  }
  if (meter === "hours" && !vehicle.hoursMeter) {
    throw refuseField(`${pointer}/meter`, "must be distance: this vehicle has no hours meter");
  }
  return { value, unit: unit ?? own, at: at ?? now, source, note, externalId };
}
