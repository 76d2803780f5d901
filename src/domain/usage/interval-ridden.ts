import type { Clock } from "./clock.ts";
import { lastPoint, type Track } from "./track.ts";

/** What was ridden between two neighbouring readings. */
export interface Ridden {
  /** Clock days between the two. */
  readonly clockDays: number;
  readonly km: number;
  /** Calendar days from the middle of the two to the last reading. */
  readonly age: number;
}

/** The intervals of a track, oldest first; none for a single reading. */
export function riddenBetween(track: Track, clock: Clock): Ridden[] {
  const end = lastPoint(track).day;
  const ridden: Ridden[] = [];
  let start = track[0];
  let startClock = clock.at(start.day);
  for (let i = 1; i < track.length; i++) {
    const point = track[i] ?? start;
    const pointClock = clock.at(point.day);
    ridden.push({
      clockDays: pointClock - startClock,
      km: point.km - start.km,
      age: end - (point.day + start.day) / 2,
    });
    start = point;
    startClock = pointClock;
  }
  return ridden;
}
