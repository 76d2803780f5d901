import type { PlainDate } from "../../domain/calendar/plain-date.ts";
import { startOfDay } from "../../domain/calendar/zone.ts";
import type { DueFigures, DueLimit, DuePoint } from "../../domain/due/due-point.ts";
import type { Law } from "../../domain/forecast/law.ts";
import {
  type Crossing,
  firstOf,
  lastOf,
  type SeveralLimit,
} from "../../domain/forecast/several.ts";
import { dayOf, type MeterKnown } from "./meters.ts";

/** Looks at a law from another moment or as one that certainly goes on. */
export type View = (law: Law) => Law;

export interface Meters {
  distance: MeterKnown;
  hours: MeterKnown;
  zone: string;
}

/**
 * When the figures will be reached, as one distribution: of the earliest or the latest of their
 * limits. A limit whose meter has no reading says nothing; null when none says anything.
 */
export function crossingOf(
  figures: DueFigures,
  whichever: DuePoint["whichever"],
  meters: Meters,
  view: View = (law) => law,
): Crossing | null {
  const limits = limitsOf(figures, meters, view);
  // Whichever comes last is not reached while a limit cannot be told.
  const told = Object.keys(limits).length;
  if (told === 0 || (whichever === "last" && told < countOf(figures))) return null;
  const all = Object.values(limits);
  return whichever === "first" ? firstOf(all) : lastOf(all);
}

/** The limit whose most likely date decides. */
export function likeliestLimit(point: DuePoint, meters: Meters): DueLimit | null {
  const medians = Object.entries(limitsOf(point, meters, (law) => law)).map(([name, limit]) => ({
    name: name as DueLimit,
    day: firstOf([limit]).dayReached(0.5) ?? Number.POSITIVE_INFINITY,
  }));
  const order = point.whichever === "first" ? 1 : -1;
  medians.sort((a, b) => order * (a.day === b.day ? 0 : a.day - b.day));
  return medians[0]?.name ?? null;
}

export function startDay(date: PlainDate, zone: string): number {
  return dayOf(startOfDay(date, zone));
}

function limitsOf(
  figures: DueFigures,
  meters: Meters,
  view: View,
): Partial<Record<DueLimit, SeveralLimit>> {
  const limits: Partial<Record<DueLimit, SeveralLimit>> = {};
  for (const name of ["distance", "hours"] as const) {
    const [total, { law, toLaw }] = [figures[name], meters[name]];
    if (total !== undefined && law) limits[name] = { law: view(law), target: toLaw(total) };
  }
  if (figures.date !== undefined) limits.date = { date: startDay(figures.date, meters.zone) };
  return limits;
}

function countOf(figures: DueFigures): number {
  return [figures.distance, figures.hours, figures.date].filter((one) => one !== undefined).length;
}
