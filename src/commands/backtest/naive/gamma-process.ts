import { betaPrimeLaw, priorGammaRate, seen } from "./gamma-rate.ts";
import { intervalsOf } from "./intervals.ts";
import { naiveMethod } from "./naive-method.ts";
import { paceSince } from "./pace-since.ts";
import { scatterDays } from "./scatter-days.ts";

/**
 * Distance as a gamma process of one lasting rate. The shape of a day is one over the scatter,
 * since a gamma increment of shape c dt has the relative variance 1 / (c dt).
 */
export const GAMMA_PROCESS = naiveMethod("gamma process, conjugate", ({ track, prior }) => {
  const intervals = intervalsOf(track);
  const mean = paceSince(track, track[0].day) ?? prior;
  const expected = priorGammaRate(prior, 1 / scatterDays(intervals, mean));
  const days = intervals.reduce((sum, interval) => sum + interval.days, 0);
  const km = intervals.reduce((sum, interval) => sum + interval.km, 0);
  return betaPrimeLaw(seen(expected, { days, km }));
});
