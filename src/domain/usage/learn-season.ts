import { type Season, withMeanOne } from "./season.ts";
import { seasonSeen } from "./season-seen.ts";
import { lastPoint, type Track } from "./track.ts";

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
  const { days, use } = seasonSeen(track, typical);
  const mixed = typical.map(
    (share, m) => (weightDays * share + (use[m] ?? 0)) / (weightDays + (days[m] ?? 0)),
  );
  return withMeanOne(withMeanOne(mixed).map((share) => Math.max(SLOWEST, share)));
}
