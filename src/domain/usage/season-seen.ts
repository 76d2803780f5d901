import { clockOf } from "./clock.ts";
import { DAYS_PER_YEAR, type Season } from "./season.ts";
import { lastPoint, type Track } from "./track.ts";

const TWELFTH = DAYS_PER_YEAR / 12;

/** What was seen of a machine in each twelfth of the year. */
export interface SeasonSeen {
  /** Calendar days seen. */
  readonly days: Float64Array;
  /** The same days, each times how fast it was ridden against the machine's own average. */
  readonly use: Float64Array;
}

/**
 * Shares the distance of a track out over the twelfths of the year, within an interval as the typical
 * season has it. The last point must lie above the first.
 */
export function seasonSeen(track: Track, typical: Season): SeasonSeen {
  const [first] = track;
  const last = lastPoint(track);
  const clock = clockOf(typical, []);
  const seen = { days: new Float64Array(12), use: new Float64Array(12) };
  const average = (last.km - first.km) / (clock.at(last.day) - clock.at(first.day));
  let start = first;
  let startClock = clock.at(first.day);
  for (const end of track) {
    if (end === first) continue;
    const endClock = clock.at(end.day);
    // Two readings around midnight may lie so close that no time is left between them.
    if (endClock > startClock) {
      const relative = (end.km - start.km) / ((endClock - startClock) * average);
      shareOut(start.day, end.day, relative, typical, seen);
    }
    start = end;
    startClock = endClock;
  }
  return seen;
}

/** Adds the days from `from` to `to`, and their use, to the twelfths of the year they lie in. */
function shareOut(
  from: number,
  to: number,
  relative: number,
  typical: Season,
  { days, use }: SeasonSeen,
): void {
  const lastIndex = Math.floor(to / TWELFTH);
  for (let index = Math.floor(from / TWELFTH); index <= lastIndex; index++) {
    const inside = Math.min(to, (index + 1) * TWELFTH) - Math.max(from, index * TWELFTH);
    const m = ((index % 12) + 12) % 12;
    days[m] = (days[m] ?? 0) + inside;
    use[m] = (use[m] ?? 0) + (typical[m] ?? 1) * inside * relative;
  }
}
