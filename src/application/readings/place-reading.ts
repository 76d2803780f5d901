import type { Instant } from "../../domain/calendar/plain-date.ts";
import { refuseField } from "../../domain/failure/failure.ts";
import { acceptReading, type Context, type HoldReason } from "../../domain/meter/accept.ts";
import { expectationOf } from "../../domain/meter/expectation.ts";
import { futureFault } from "../../domain/meter/future-fault.ts";
import type { MeterChange } from "../../domain/meter/total.ts";
import { convertDistance, type DistanceUnit } from "../../domain/units/distance.ts";
import { type Deps, eventOf, fresh } from "../deps.ts";
import { dayOf, lawOf } from "../machine/meters.ts";
import type { KnownReading, Machine, MachineChanges, New } from "../ports.ts";
import type { MeterName, Reading, ReadingSource } from "../records.ts";

export interface ReadingInput {
  value: number;
  unit: DistanceUnit | "h";
  at: Instant;
  source: ReadingSource;
  note?: string | null;
  externalId?: string | null;
  workRecordId?: string | null;
  /** A person looked again and says that it is right: it is never held. */
  confirmed?: boolean;
  /** The reading in whose place this one stands. */
  replacesId?: string | null;
}

export interface PlacedReading {
  /** The reading as it is stored; for one that was posted before, as it stood. */
  reading: Reading;
  isNew: boolean;
  changes: MachineChanges;
  /** The machine with the reading among those known. */
  machine: Machine;
}

/**
 * Judges a reading and says what is to be written; the database is not asked for anything. A reading
 * that makes no sense is held: kept with the reason, and left out of every estimate.
 */
export function placeReading(
  machine: Machine,
  input: ReadingInput,
  now: Instant,
  deps: Pick<Deps, "ids">,
): PlacedReading {
  const meter: MeterName = input.unit === "h" ? "hours" : "distance";
  if (futureFault(input.at, now)) {
    throw refuseField("#/at", "must not lie more than five minutes ahead of the service's clock");
  }
  const known = machine.readings.filter(
    (one) => one.meter === meter && one.id !== input.replacesId,
  );
  const judged = judge(machine, meter, input, known, now);
  if (judged.status === "same") {
    return { reading: storedOf(machine, judged.id), isNew: false, changes: {}, machine };
  }
  const reading: Reading = {
    ...rowOf(machine, meter, input, judged, now, deps),
    version: 1,
  };
  const { version: _version, ...row } = reading;
  const type = reading.status === "held" ? "reading.held" : "reading.recorded";
  const subject = { resourceId: reading.id, vehicleId: machine.vehicle.id };
  const event = eventOf(deps, now, type, subject, { value: reading.value, unit: reading.unit });
  return {
    reading,
    isNew: true,
    changes: { readings: [row], events: [event] },
    machine: withReading(machine, reading),
  };
}

type Judged = ReturnType<typeof acceptReading>;

function judge(
  machine: Machine,
  meter: MeterName,
  { at, value, unit, confirmed }: ReadingInput,
  known: readonly KnownReading[],
  now: Instant,
): Judged {
  const context = { ...contextOf(machine, meter, now), confirmed: confirmed ?? false };
  return acceptReading({ at, value, unit }, known, changesOf(machine, meter), context);
}

/** What a reading of the machine's meter is judged by, unless a person confirmed it. */
export function contextOf(machine: Machine, meter: MeterName, now: Instant): Context {
  const { vehicle } = machine;
  const toLaw = (total: number) =>
    meter === "hours" ? total : convertDistance(total, vehicle.meterUnit, "km");
  return {
    meterUnit: vehicle.meterUnit,
    kind: vehicle.kind,
    now,
    confirmed: false,
    expect: (before, instant) => {
      const law = lawOf(machine, meter, before, instant);
      return law && expectationOf(law, dayOf(instant), toLaw);
    },
  };
}

export function changesOf(machine: Pick<Machine, "meterChanges">, meter: MeterName): MeterChange[] {
  return machine.meterChanges
    .filter((change) => change.meter === meter)
    .map(({ at, before, after }) => ({ at, after, ...(before !== null && { before }) }));
}

function rowOf(
  machine: Machine,
  meter: MeterName,
  input: ReadingInput,
  judged: Exclude<Judged, { status: "same" }>,
  now: Instant,
  deps: Pick<Deps, "ids">,
): New<Reading> {
  const reasons: HoldReason[] = judged.status === "held" ? judged.reasons : [];
  return {
    ...fresh(deps, now),
    vehicleId: machine.vehicle.id,
    meter,
    at: input.at,
    value: input.value,
    unit: input.unit,
    total: judged.total,
    status: judged.status,
    confirmed: input.confirmed ?? false,
    reasons,
    source: input.source,
    note: input.note ?? null,
    replacesId: input.replacesId ?? null,
    workRecordId: input.workRecordId ?? null,
    externalId: input.externalId ?? null,
  };
}

/** The machine as it is once the reading is written; the newest stands first. */
function withReading(machine: Machine, reading: Reading): Machine {
  const others = machine.readings.filter(({ id }) => id !== reading.replacesId);
  const readings = [reading, ...others].sort((a, b) => b.at - a.at);
  const first = machine.firstTotals[reading.meter];
  const firstTotals =
    first === null && reading.status === "accepted"
      ? { ...machine.firstTotals, [reading.meter]: reading.total }
      : machine.firstTotals;
  return { ...machine, readings, firstTotals };
}

function storedOf(machine: Machine, id: string): Reading {
  const known = machine.readings.find((one) => one.id === id);
  if (!known) throw new Error(`Reading ${id} is not among those of its machine.`);
  return { ...known, vehicleId: machine.vehicle.id };
}
