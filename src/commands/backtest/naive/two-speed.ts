import { lomaxQuantile } from "../../../domain/forecast/lomax.ts";
import { forgotten } from "./forgotten.ts";
import { betaPrimeLaw, priorGammaRate, rateOf, seen } from "./gamma-rate.ts";
import { intervalsOf } from "./intervals.ts";
import { type DistanceLaw, naiveMethod } from "./naive-method.ts";
import { paceSince } from "./pace-since.ts";
import { scatterDays } from "./scatter-days.ts";

const FAST_HALF_LIFE = 30;
const SLOW_HALF_LIFE = 240;
/** Share of riders who stop, and the scale (days) and shape of their wait; chosen by eye. */
const STOPPED = 0.1;
const WAIT_SCALE = 120;
const WAIT_SHAPE = 1.5;
/** The wait's law is carried by the middles of four equal shares of it. */
const WAITS = [1 / 8, 3 / 8, 5 / 8, 7 / 8].map((p) => WAIT_SCALE * lomaxQuantile(p, WAIT_SHAPE));

/**
 * Half of a rate that forgets fast and half of one that forgets slowly; the slow one starts at the
 * prior rate, the fast one at the slow one. A fixed share of riders first stops for a while and
 * then goes on at the slow rate.
 */
export const TWO_SPEED = naiveMethod("two-speed beta-prime law", ({ track, prior }) => {
  const intervals = intervalsOf(track);
  const mean = paceSince(track, track[0].day) ?? prior;
  const shapePerDay = 1 / scatterDays(intervals, mean);
  const slow = seen(priorGammaRate(prior, shapePerDay), forgotten(intervals, SLOW_HALF_LIFE));
  const expected = priorGammaRate(rateOf(slow), shapePerDay);
  const fast = seen(expected, forgotten(intervals, FAST_HALF_LIFE));
  return mixture(betaPrimeLaw(fast), betaPrimeLaw(slow));
});

function mixture(fast: DistanceLaw, slow: DistanceLaw): DistanceLaw {
  return (left) => {
    const [fastly, slowly] = [fast(left), slow(left)];
    return (days) => {
      let sum = ((1 - STOPPED) * (fastly(days) + slowly(days))) / 2;
      for (const wait of WAITS) {
        if (days > wait) sum += (STOPPED / WAITS.length) * slowly(days - wait);
      }
      return sum;
    };
  };
}
