import { clockOf } from "./clock.ts";
import { DAYS_PER_YEAR, type Season, withMeanOne } from "./season.ts";
import { lastPoint, type Track } from "./track.ts";

const TWELFTH = DAYS_PER_YEAR / 12;
/** Below a year the habit and the season cannot be told apart. */
const YEAR_SEEN = 365;
/** No twelfth of the year is ever quite without riding; the clock must not stand still. */
const SLOWEST = 0.03;

/**
 * The machine's own season: the typical one, with the weight of `weightDays` days a twelfth, mixed
 * with what was ridden in each twelfth against the machine's average. One pass. Lay-ups play no
 * part: what happens in them is seen in the readings. The typical season comes back as it is when
 * fewer than three readings, less than a year or no distance was seen.
 */
export function learnSeason(typical: Season, track: Track, weightDays: number): Season {
  const first = track[0];
  const last = lastPoint(track);
  if (track.length < 3 || last.day - first.day < YEAR_SEEN || last.km <= first.km) return typical;
  const clock = clockOf(typical, []);
  const seen = new Float64Array(12);
  const used = new Float64Array(12);
  const average = (last.km - first.km) / (clock.at(last.day) - clock.at(first.day));
  let start = first;
  let startClock = clock.at(first.day);
  for (const end of track) {
    if (end === first) continue;
    const endClock = clock.at(end.day);
    const relative = (end.km - start.km) / ((endClock - startClock) * average);
    shareOut(start.day, end.day, relative, typical, seen, used);
    start = end;
    startClock = endClock;
  }
  const mixed = typical.map(
    (share, m) => (weightDays * share + (used[m] ?? 0)) / (weightDays + (seen[m] ?? 0)),
  );
  return withMeanOne(withMeanOne(mixed).map((share) => Math.max(SLOWEST, share)));
}

/** Adds the days from `from` to `to`, and their use, to the twelfths of the year they lie in. */
function shareOut(
  from: number,
  to: number,
  relative: number,
  typical: Season,
  seen: Float64Array,
  used: Float64Array,
): void {
  const lastIndex = Math.floor(to / TWELFTH);
  for (let index = Math.floor(from / TWELFTH); index <= lastIndex; index++) {
    const days = Math.min(to, (index + 1) * TWELFTH) - Math.max(from, index * TWELFTH);
    const m = ((index % 12) + 12) % 12;
    seen[m] = (seen[m] ?? 0) + days;
    used[m] = (used[m] ?? 0) + (typical[m] ?? 1) * days * relative;
  }
}
