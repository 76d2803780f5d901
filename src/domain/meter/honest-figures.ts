import { type Instant, MS_PER_DAY } from "../calendar/plain-date.ts";
import { WIDEST_SPAN } from "./expectation.ts";
import { type Context, type Counted, type Meter, mostIn } from "./known-reading.ts";

/**
 * How often a day what is ridden is foretold by no habit: a long trip, a machine lent to someone, a
 * month in plaster. Common practice, no source; from 1/5000 to 1/2000 measure alike on simulated riders.
 */
const SURPRISES_A_DAY = 1 / 4000;
/**
 * A long trip of a week is a quarter of what the fastest ride without an end would come to (3500 km
 * of a motorcycle), one of other lengths follows the square root of its days: nobody keeps up the
 * pace. Common practice, no source.
 */
const TRIP_SHARE = 1 / 4;
const TRIP_DAYS = 7;
/** A day's ride is no shorter for being posted within the day. */
const LEAST_DAYS = 1;
/** How fast what lies beyond a long trip becomes absurd. */
const BEYOND = 4;
/** Nothing is expected of a machine without a reading, but that small totals are commoner. */
const UNKNOWN_SCALE = 1 / Math.log(10_000_000);

/** Probability density of an honest total at one instant, per unit of the meter. */
export type HonestFigures = (total: number) => number;

/**
 * What an honest reading may say at `at` after those `before` (in time order): the forecast's law, and
 * with a small share that grows with the days the unforeseen, Lomax of shape 1 about half a long trip:
 * a few thousand km more than usual are seldom, never absurd. Far beyond a long trip on top of the
 * usual both fade away, since the law's own tail knows no rider who must sleep.
 */
export function honestFigures(
  before: readonly Counted[],
  at: Instant,
  { context }: Meter,
): HonestFigures {
  const expected = context.expect(before, at);
  const [first, last] = [before[0], before.at(-1)];
  if (!expected || !first || !last) return (total) => UNKNOWN_SCALE / (1 + total);
  const days = daysBetween(last, { at });
  const trip = longTrip(days, last.unit, context);
  const reach = trip + paceBetween(first, last) * days;
  const scale = Math.max(trip / 2, WIDEST_SPAN);
  const surprises = SURPRISES_A_DAY * days;
  return (total) => {
    const ridden = Math.max(0, total - last.total);
    const unforeseen = scale / (scale + ridden) ** 2;
    const density = (expected.density(total) + surprises * unforeseen) / (1 + surprises);
    return density / (1 + (ridden / reach) ** BEYOND);
  };
}

/** Distance of a long trip of so many days, in the meter's unit. */
function longTrip(days: number, unit: Counted["unit"], context: Context): number {
  return TRIP_SHARE * mostIn(TRIP_DAYS, unit, context) * Math.sqrt(days / TRIP_DAYS);
}

function paceBetween(first: Counted, last: Counted): number {
  return (last.total - first.total) / daysBetween(first, last);
}

function daysBetween(earlier: { at: Instant }, later: { at: Instant }): number {
  return Math.max(LEAST_DAYS, (later.at - earlier.at) / MS_PER_DAY);
}
