/** One accepted total of the meter. `day`: days since 1970-01-01T00:00Z, with a fraction. */
export interface Point {
  readonly day: number;
  readonly km: number;
}

/** Readings thinned for the estimate: at most one a day, in time order, never falling, at least one. */
export type Track = readonly [Point, ...Point[]];

/**
 * Thins readings for the estimate; null when none lies at or before `asOf`.
 * Of several on one day (a UTC date) the highest stays, of equal ones the latest; a reading below
 * an earlier one that stayed is dropped, because distance never runs backwards.
 */
export function trackUntil(readings: readonly Point[], asOf: number): Track | null {
  const track: Point[] = [];
  for (const reading of inTimeOrder(readings)) {
    if (reading.day > asOf) break;
    const last = track.at(-1);
    if (last === undefined) {
      track.push(reading);
    } else if (reading.km >= last.km) {
      if (Math.floor(reading.day) === Math.floor(last.day)) track.pop();
      track.push(reading);
    }
  }
  const [first, ...rest] = track;
  return first === undefined ? null : [first, ...rest];
}

/** The track's last point: where the meter was last known to stand. */
export function lastPoint(track: Track): Point {
  return track[track.length - 1] ?? track[0];
}

function inTimeOrder(readings: readonly Point[]): readonly Point[] {
  for (let i = 1; i < readings.length; i++) {
    if ((readings[i - 1]?.day ?? 0) > (readings[i]?.day ?? 0)) {
      return [...readings].sort((a, b) => a.day - b.day);
    }
  }
  return readings;
}
