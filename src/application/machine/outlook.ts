import type { DueFigures, DuePoint } from "../../domain/due/due-point.ts";
import type { Law } from "../../domain/forecast/law.ts";
import type { Outlook } from "../../domain/reminder/outlook.ts";
import { type Assessed, type AssessedTask, lateEdge } from "./assess.ts";
import { crossingOf, type View } from "./crossing.ts";

/**
 * What will be believed of a task's due point at later moments if nothing more is posted: the port
 * through which the planning of reminders sees the forecast.
 */
export function outlookOf(assessed: Assessed, { due }: AssessedTask): Outlook | null {
  if (due.state !== "point") return null;
  const { point } = due;
  const apart = point.whichever === "first";
  const { meters } = assessed;
  const metered = apart ? withoutDate(point) : point;
  const late = apart ? withoutDate(lateEdge(point)) : lateEdge(point);
  const chance = (figures: DueFigures, view: View, by: number) =>
    crossingOf(figures, point.whichever, meters, view)?.reachedBy(by) ?? 0;
  const at = (day: number) => (law: Law) => law.at(Math.max(day, law.last.day));
  const riding = (law: Law) => law.riding();
  const { law, toLaw } = meters.distance;
  const calendar = apart || isDateAlone(point);
  return {
    reached: (day, by) => chance(metered, at(day), by),
    reachedRiding: (_day, by) => chance(metered, riding, by),
    past: (day, by) => chance(late, at(day), by),
    ...(law &&
      point.distance !== undefined && {
        leftAtMost: (day: number, distance: number) =>
          at(day)(law).leftAtMost(toLaw(point.distance ?? 0), toLaw(distance)),
      }),
    ...(law && {
      totalReached: (day: number, total: number) => at(day)(law).reachedBy(toLaw(total), day),
    }),
    reachedByReading: shownByReading(assessed, point, point, (total, limit) => total >= limit),
    pastByReading: shownByReading(
      assessed,
      point,
      point.window.late,
      (total, limit) => total > limit,
    ),
    ...(calendar && { dueDate: point.date, lateDate: point.window.late.date }),
  };
}

/**
 * The day on which the due point was most likely to be reached as the last reading showed it. Silence
 * since then does not move it: only data do, as a corrected slip or an edited interval.
 */
export function expectedDayOf({ meters }: Assessed, { due }: AssessedTask): number | null {
  if (due.state !== "point") return null;
  const { point } = due;
  const asRead = (law: Law) => law.at(law.last.day);
  return crossingOf(point, point.whichever, meters, asRead)?.dayReached(0.5) ?? null;
}

function withoutDate({ distance, hours }: DueFigures): DueFigures {
  return { ...(distance !== undefined && { distance }), ...(hours !== undefined && { hours }) };
}

function isDateAlone({ distance, hours }: DueFigures): boolean {
  return distance === undefined && hours === undefined;
}

/** Whether accepted readings alone show that the limits are reached. */
function shownByReading(
  { meters, today }: Assessed,
  point: DuePoint,
  figures: DueFigures,
  holds: (total: number, limit: number) => boolean,
): boolean {
  const shown = (["distance", "hours"] as const)
    .filter((name) => figures[name] !== undefined)
    .map((name) =>
      holds(meters[name].latest?.total ?? Number.NEGATIVE_INFINITY, figures[name] ?? 0),
    );
  if (point.whichever === "first") return shown.some(Boolean);
  const dated = figures.date === undefined || today >= figures.date;
  return shown.length > 0 && dated && shown.every(Boolean);
}
