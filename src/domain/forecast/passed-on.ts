import { clockOf } from "../usage/clock.ts";
import type { LayUpDays } from "../usage/lay-up.ts";
import { NO_SEASON } from "../usage/season.ts";
import type { Track } from "../usage/track.ts";

/**
 * Day on which the total most likely passed `km`: on the straight line between the readings on either
 * side, days in a lay-up left out but for the little that the clock grants them. What was passed
 * before the first reading is told as passed on the day of that reading, the latest that it can
 * have been. Null when it has not been passed by the last reading.
 */
export function passedOn(track: Track, layUps: readonly LayUpDays[], km: number): number | null {
  const after = track.findIndex((point) => point.km >= km);
  const end = track[after];
  if (end === undefined) return null;
  const start = track[after - 1];
  if (start === undefined || km === end.km) return end.day;
  const clock = clockOf(NO_SEASON, layUps);
  const from = clock.at(start.day);
  const share = (km - start.km) / (end.km - start.km);
  // Turning the clock back rounds, and no total is passed after the reading that shows it.
  return Math.min(end.day, clock.dayAt(from + share * (clock.at(end.day) - from)));
}
