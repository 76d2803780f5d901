import { addMonthsAndPart } from "../../domain/calendar/part-month.ts";
import type { DueFigures, DuePoint } from "../../domain/due/due-point.ts";
import { intervalInForce } from "../../domain/interval/interval-in-force.ts";
import type { Limits } from "../../domain/interval/limits.ts";
import { type Assessed, type AssessedTask, machineFacts } from "./assess.ts";
import { crossingOf } from "./crossing.ts";

/**
 * How many days lie, most likely, between the due point in force and the one after it, if the work is
 * done when it comes due and the machine is ridden as it is; null where it does not come again or
 * nothing tells when.
 */
export function daysToNextTime(
  { machine, meters, today }: Assessed,
  { task: { plan }, due, crossing }: AssessedTask,
): number | null {
  if (due.state !== "point" || !crossing || plan.kind === "once") return null;
  const done = { state: "done", on: today } as const;
  const every = intervalInForce(plan, done, machineFacts(machine));
  const limits = typeof every === "string" ? yearly(due.point) : every.limits;
  if (limits === null) return null;
  const next = crossingOf(later(due.point, limits), due.point.whichever, meters);
  const [first, second] = [crossing.dayReached(0.5), next?.dayReached(0.5) ?? null];
  return first === null || second === null || second <= first ? null : second - first;
}

/** A printed date without an interval comes again each year. */
function yearly({ from }: DuePoint): Limits | null {
  return from === "date" ? { months: 12 } : null;
}

function later({ distance, hours, date }: DuePoint, limits: Limits): DueFigures {
  return {
    ...(distance !== undefined &&
      limits.distance !== undefined && { distance: distance + limits.distance }),
    ...(hours !== undefined && limits.hours !== undefined && { hours: hours + limits.hours }),
    ...(date !== undefined &&
      limits.months !== undefined && { date: addMonthsAndPart(date, limits.months) }),
  };
}
