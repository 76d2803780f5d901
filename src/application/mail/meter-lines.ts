import { MS_PER_DAY } from "../../domain/calendar/plain-date.ts";
import { dateAt } from "../../domain/calendar/zone.ts";
import { likelierValueOf } from "../../domain/meter/hold-reason.ts";
import type { HeldReadingView, SilentMachineView } from "../digest-view.ts";
import { distanceShown } from "../machine/as-shown.ts";
import type { Assessed } from "../machine/assess.ts";
import type { KnownReading } from "../ports.ts";

/** Without an accepted reading for so long a machine is silent: our choice, two months. */
const SILENT_DAYS = 60;

/** A reading is missed only where a meter decides something and the machine is in use. */
export function isSilent({ machine, meters, tasks, laidUp, now }: Assessed): boolean {
  if (laidUp || machine.vehicle.offRoad) return false;
  const metered = tasks.some(
    ({ due, task }) =>
      !task.plan.paused &&
      due.state === "point" &&
      (due.point.distance !== undefined || due.point.hours !== undefined),
  );
  const latest = Math.max(meters.distance.latest?.at ?? 0, meters.hours.latest?.at ?? 0);
  return metered && latest < now - SILENT_DAYS * MS_PER_DAY;
}

/** The machine's last reading as its instrument showed it, and where to post the next. */
export function silentLine(assessed: Assessed, postReading: string): SilentMachineView {
  const last = lastReading(assessed);
  return {
    machine: assessed.machine.vehicle.name,
    ...(last && { last }),
    links: { postReading },
  };
}

function lastReading({ machine, meters, zone }: Assessed): SilentMachineView["last"] | null {
  const { distance, hours } = meters;
  if (distance.latest) {
    const value = distanceShown(machine, distance.latest.total);
    return { value, unit: machine.vehicle.meterUnit, on: dateAt(distance.latest.at, zone) };
  }
  return (
    hours.latest && { value: hours.latest.value, unit: "h", on: dateAt(hours.latest.at, zone) }
  );
}

/** The longest silent first; those that were never read before all. */
export function bySilence({ last: a }: SilentMachineView, { last: b }: SilentMachineView): number {
  return (a?.on ?? "") < (b?.on ?? "") ? -1 : 1;
}

/** A reading that waits for somebody to look at it. */
export function heldLine({ machine, zone }: Assessed, reading: KnownReading): HeldReadingView {
  const likelierValue = likelierValueOf(reading.reasons);
  return {
    machine: machine.vehicle.name,
    value: reading.value,
    unit: reading.unit,
    on: dateAt(reading.at, zone),
    ...(likelierValue !== undefined && { likelierValue }),
  };
}
