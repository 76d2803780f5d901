import { isSouthern } from "../../domain/calendar/hemisphere.ts";
import { type Instant, MS_PER_DAY } from "../../domain/calendar/plain-date.ts";
import { startOfDay } from "../../domain/calendar/zone.ts";
import { fit as fitDistance } from "../../domain/forecast/fit.ts";
import { fitHours } from "../../domain/forecast/hours.ts";
import type { Law } from "../../domain/forecast/law.ts";
import { convertDistance } from "../../domain/units/distance.ts";
import type { FleetMachine, KnownReading, Machine } from "../ports.ts";
import type { MeterName } from "../records.ts";

/** One meter of a machine: what it is known to have run, and the law of what it runs. */
export interface MeterKnown {
  /** Accepted readings, newest first; totals in the meter's unit. */
  readings: KnownReading[];
  latest: KnownReading | null;
  /** null without a reading. Distance laws count in km, hour laws in hours. */
  law: Law | null;
  /** From the meter's unit to the unit that the law counts in. */
  toLaw(total: number): number;
  fromLaw(total: number): number;
}

/** The day of the forecast: days since 1970-01-01T00:00Z, with fractions. */
export function dayOf(instant: Instant): number {
  return instant / MS_PER_DAY;
}

/** A meter as known at `now`; a reading from a clock that runs fast counts as taken now. */
export function meterKnown(machine: Machine, meter: MeterName, now: Instant): MeterKnown {
  const readings = machine.readings.filter(
    (reading) => reading.meter === meter && reading.status === "accepted",
  );
  const points = readings.map(({ at, total }) => ({ at: Math.min(at, now), total }));
  const { meterUnit } = machine.vehicle;
  const counts = meter === "distance";
  return {
    readings,
    latest: readings[0] ?? null,
    law: lawOf(machine, meter, points, now),
    toLaw: (total) => (counts ? convertDistance(total, meterUnit, "km") : total),
    fromLaw: (total) => (counts ? convertDistance(total, "km", meterUnit) : total),
  };
}

/** The law of one meter from some of its readings, as it stands at `asOf`; null without any. */
export function lawOf(
  machine: Machine,
  meter: MeterName,
  readings: readonly { at: Instant; total: number }[],
  asOf: Instant,
): Law | null {
  if (readings.length === 0) return null;
  const { vehicle } = machine;
  const lived = livedBy(machine, asOf);
  if (meter === "hours") {
    return fitHours({
      ...lived,
      readings: readings.map(({ at, total }) => ({ day: dayOf(at), hours: total })),
    });
  }
  const toKm = (total: number) => convertDistance(total, vehicle.meterUnit, "km");
  const declared = vehicle.declaredPerYear;
  return fitDistance({
    ...lived,
    readings: readings.map(({ at, total }) => ({ day: dayOf(at), km: toKm(total) })),
    ...(declared !== null && { declaredKmPerYear: toKm(declared) }),
    ...(machine.fleet.length > 0 && { fleet: machine.fleet.map(inKm) }),
  });
}

function inKm({ unit, readings }: FleetMachine) {
  return readings.map(([at, total]) => ({
    day: dayOf(at),
    km: convertDistance(total, unit, "km"),
  }));
}

/** What every law of the machine needs beside its readings. */
function livedBy({ vehicle, layUps, responsible }: Machine, asOf: Instant) {
  const zone = responsible.timeZone;
  return {
    kind: vehicle.kind,
    asOf: dayOf(asOf),
    layUps: layUps.map(({ from, to }) => ({
      from: dayOf(startOfDay(from, zone)),
      to: to === null ? null : dayOf(startOfDay(to, zone)),
    })),
    south: vehicle.hemisphere === null ? isSouthern(zone) : vehicle.hemisphere === "south",
  };
}
