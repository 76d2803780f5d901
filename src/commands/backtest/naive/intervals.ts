import type { Track } from "../../../domain/usage/track.ts";

/** What lies between two readings, both of them `days` (above 0) and `km` (not below 0) apart. */
export interface Interval {
  readonly days: number;
  readonly km: number;
  /** Days from its end to the last reading. */
  readonly age: number;
}

/** The intervals between the readings of a track, oldest first; none for one reading. */
export function intervalsOf(track: Track): Interval[] {
  const end = track.at(-1)?.day ?? 0;
  const intervals: Interval[] = [];
  let [before] = track;
  for (const point of track.slice(1)) {
    intervals.push({
      days: point.day - before.day,
      km: point.km - before.km,
      age: end - point.day,
    });
    before = point;
  }
  return intervals;
}
