import { lastPoint, type Track } from "../../../domain/usage/track.ts";

/**
 * Mean rate (km per day) from a reading to the last one: from the oldest reading at or after `from`
 * below the last total, or where there is none, from the newest such reading before it. Above 0;
 * null when every reading shows the same total.
 */
export function paceSince(track: Track, from: number): number | null {
  const last = lastPoint(track);
  const below = track.filter(({ km }) => km < last.km);
  const start = below.find(({ day }) => day >= from) ?? below.at(-1);
  return start === undefined ? null : (last.km - start.km) / (last.day - start.day);
}
