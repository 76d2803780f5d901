import { MS_PER_DAY, type PlainDate } from "../../domain/calendar/plain-date.ts";
import { dateAt } from "../../domain/calendar/zone.ts";
import type { Crossing } from "../../domain/forecast/several.ts";

/** The date in the zone on which the crossing has come with probability p; null: too far to tell. */
export function dateReached(crossing: Crossing, p: number, zone: string): PlainDate | null {
  const day = crossing.dayReached(p);
  return day === null ? null : dateAt(day * MS_PER_DAY, zone);
}

export interface Quantile {
  p: number;
  on: PlainDate | null;
}

/** The probabilities at which a task's dates are told. */
export const TOLD = [0.1, 0.25, 0.5, 0.75, 0.9] as const;

export function quantilesOf(crossing: Crossing, zone: string): Quantile[] {
  return TOLD.map((p) => ({ p, on: dateReached(crossing, p, zone) }));
}
