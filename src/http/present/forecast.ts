import type { Assessed, AssessedTask } from "../../application/machine/assess.ts";
import type { MeterKnown } from "../../application/machine/meters.ts";
import { changesOf } from "../../application/readings/place-reading.ts";
import { shownFor } from "../../domain/meter/total.ts";
import { shownDistance, shownInstant } from "./shown.ts";
import { shownNext } from "./task.ts";

const TOLD = [0.1, 0.25, 0.5, 0.75, 0.9];

export function shownForecast(assessed: Assessed) {
  const { machine, meters, now } = assessed;
  const { vehicle } = machine;
  return {
    vehicleId: vehicle.id,
    asOf: shownInstant(now),
    distance: shownMeter(assessed, "distance", meters.distance, vehicle.meterUnit),
    hours: vehicle.hoursMeter ? shownMeter(assessed, "hours", meters.hours, "h" as const) : null,
    tasks: assessed.tasks.map((one) => shownDueTask(assessed, one)),
  };
}

export function shownDueTask(assessed: Assessed, one: AssessedTask) {
  const { machine } = assessed;
  return {
    vehicleId: machine.vehicle.id,
    vehicleName: machine.vehicle.name,
    occurrence: one.due.state === "point" ? one.due.point.occurrence : null,
    ...shownNext(one, assessed),
  };
}

function shownMeter<U extends string>(
  { machine }: Assessed,
  name: "distance" | "hours",
  { law, fromLaw }: MeterKnown,
  unit: U,
) {
  if (!law) return { unit, now: null, shown: null, perDay: null, parked: null };
  const changes = changesOf(machine, name);
  const spread = (mean: number, at: (p: number) => number) => ({
    mean: shownDistance(mean),
    quantiles: TOLD.map((p) => ({ p, value: shownDistance(at(p)) })),
  });
  const total = (p: number) => fromLaw(law.totalToday(p));
  const mean = fromLaw(law.meanToday());
  return {
    unit,
    now: spread(mean, total),
    shown: spread(shownFor(mean, changes), (p) => shownFor(total(p), changes)),
    perDay: spread(fromLaw(law.meanPerDay()), (p) => fromLaw(law.perDay(p))),
    parked: Math.round(law.parked * 1000) / 1000,
  };
}
