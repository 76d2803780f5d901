import type { PlainDate } from "../calendar/plain-date.ts";
import type { DueFigures, DuePoint } from "./due-point.ts";

/** Whether work counts for the due point that it was done for, and if not, on which side it lies. */
export type WindowVerdict = { window: "within" } | { window: "outside"; side: "early" | "late" };

/** When work was done: totals in the meter's unit and in hours, the date in the member's zone. */
export interface WorkDone {
  on: PlainDate;
  distance?: number;
  hours?: number;
}

/**
 * Judges work against the permitted window of the due point that stood before it. Whichever comes
 * first: early only before the window of every limit, late past the window of any. Whichever comes
 * last, the mirror of it: early before the window of any limit, late only past the window of every.
 * A limit for which the work has no total is left out; `null` when none is left.
 */
export function workWindow(point: DuePoint, work: WorkDone): WindowVerdict | null {
  const sides = sidesOf(point.window, { ...work, date: work.on });
  if (sides.length === 0) return null;
  const allEarly = sides.every((side) => side === "early");
  const allLate = sides.every((side) => side === "late");
  if (point.whichever === "first") {
    if (sides.includes("late")) return { window: "outside", side: "late" };
    return allEarly ? { window: "outside", side: "early" } : { window: "within" };
  }
  if (sides.includes("early")) return { window: "outside", side: "early" };
  return allLate ? { window: "outside", side: "late" } : { window: "within" };
}

type Side = "early" | "within" | "late";

function sidesOf(window: DuePoint["window"], done: DueFigures): Side[] {
  const { early, late } = window;
  return [
    sideOf(done.distance, early.distance, late.distance),
    sideOf(done.hours, early.hours, late.hours),
    sideOf(done.date, early.date, late.date),
  ].filter((side) => side !== null);
}

function sideOf<T extends number | string>(
  done: T | undefined,
  early: T | undefined,
  late: T | undefined,
): Side | null {
  if (done === undefined || early === undefined || late === undefined) return null;
  if (done < early) return "early";
  return done > late ? "late" : "within";
}
