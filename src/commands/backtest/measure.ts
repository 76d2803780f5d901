import type { Method } from "./method.ts";
import { type Origin, originsOf } from "./origins.ts";
import { crps, misses } from "./score.ts";
import type { Series } from "./series.ts";

/** Days after `asOf` beyond which no forecast is scored. */
const CAP_DAYS = 3650;
/** The lead of the reliability table. */
const WITHIN_DAYS = 21;

/** Sums over the origins of one series; shares and means come later. */
export interface Measured {
  origins: number;
  days: number;
  log: number;
  below: number;
  above: number;
  /** Of each origin whose next 21 days are known: what was believed, and whether it came. */
  readonly within: { believed: number; came: boolean }[];
}

/** One method on one series. */
export function measure(method: Method, series: Series, seed: number): Measured {
  const sums: Measured = { ...NOTHING, within: [] };
  for (const origin of originsOf(series, seed)) add(sums, method, origin);
  return sums;
}

const NOTHING = { origins: 0, days: 0, log: 0, below: 0, above: 0 };

function add(sums: Measured, method: Method, { history, target, since, outcome }: Origin): void {
  const reachedBy = method.believe(history).crossing(target);
  const law = (days: number) => reachedBy(since + days);
  const silence = history.asOf - since;
  const score = crps(law, outcome, silence + CAP_DAYS);
  const missed = misses(law, outcome);
  sums.origins += 1;
  sums.days += score.days;
  sums.log += score.log;
  sums.below += missed.below;
  sums.above += missed.above;
  const known = outcome.days - silence;
  if (outcome.seen || known >= WITHIN_DAYS) {
    sums.within.push({
      believed: law(silence + WITHIN_DAYS),
      came: outcome.seen && known <= WITHIN_DAYS,
    });
  }
}
