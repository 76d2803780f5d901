import { isSouthern } from "../domain/calendar/hemisphere.ts";
import { MS_PER_DAY, type PlainDate } from "../domain/calendar/plain-date.ts";
import { startOfDay } from "../domain/calendar/zone.ts";

export type Hemisphere = "north" | "south";

export type SeasonName = "winter" | "spring" | "summer" | "autumn";

/** Three whole months by the calendar; `to` is the last day. */
export interface Season {
  name: SeasonName;
  from: PlainDate;
  to: PlainDate;
}

const NORTH: readonly SeasonName[] = ["winter", "spring", "summer", "autumn"];
const SOUTH: readonly SeasonName[] = ["summer", "autumn", "winter", "spring"];

/**
 * Whose seasons people of the zone speak of; null where its clocks do not change with them, for
 * there, nearer the equator, "autumn" may mean nothing.
 */
export function seasonsOf(zone: string): Hemisphere | null {
  const midnight = (date: PlainDate) => startOfDay(date, zone) % MS_PER_DAY;
  if (midnight("2026-01-15") === midnight("2026-07-15")) return null;
  return isSouthern(zone) ? "south" : "north";
}

/** The season that a date lies in, December with the two months after it. */
export function seasonAt(date: PlainDate, hemisphere: Hemisphere): Season {
  const [year, month] = [Number(date.slice(0, 4)), Number(date.slice(5, 7))];
  const quarter = Math.floor((month % 12) / 3);
  const first = quarter * 3 || 12;
  const begun = month < 3 ? year - 1 : year;
  const ended = first === 12 ? begun + 1 : begun;
  const last = ((first + 1) % 12) + 1;
  return {
    name: (hemisphere === "north" ? NORTH : SOUTH)[quarter] as SeasonName,
    from: `${begun}-${String(first).padStart(2, "0")}-01`,
    to: lastDay(ended, last),
  };
}

/** The last day of a month, 1 to 12. */
export function lastDay(year: number, month: number): PlainDate {
  return new Date(Date.UTC(year, month, 0)).toISOString().slice(0, 10);
}
