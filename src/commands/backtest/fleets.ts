import { fit as lawFrom } from "../../domain/forecast/fit.ts";
import { originOn } from "./origins.ts";
import { simulatedFleet } from "./riders.ts";
import { crps, misses } from "./score.ts";
import type { Series } from "./series.ts";

/** What a fleet is worth to a machine that is new in it. */
export interface Lending {
  readonly origins: number;
  /** Log scores of the same origins. */
  readonly alone: number;
  readonly lent: number;
  /** Share of outcomes inside the 80 % interval. */
  readonly coveredAlone: number;
  readonly coveredLent: number;
}

const FLEETS = 40;
const MACHINES = 12;
/** The fleet has run so long when the new machine comes. */
const NEW_AFTER_DAYS = 400;
/** Days after its first reading on which the new machine is forecast. */
const ON_DAYS = [1, 15, 30, 60, 90];
const CAP_DAYS = 3650;

/** The last machine of each simulated fleet as one that begins late, forecast alone and with the others. */
export function lendingOfFleets(): Lending {
  const sums = { origins: 0, alone: 0, lent: 0, coveredAlone: 0, coveredLent: 0 };
  for (let seed = 1; seed <= FLEETS; seed += 1) {
    const machines = simulatedFleet(seed, MACHINES);
    const others = machines.slice(0, -1).map(({ posted }) => posted);
    const newcomer = lateComer(machines.at(-1) as Series);
    for (const days of ON_DAYS) {
      const asOf = (newcomer.posted[0]?.day ?? 0) + days;
      const { history, target, since, outcome } = originOn(newcomer, asOf, 0.3);
      const score = (fleet: Series["posted"][] | undefined) => {
        const law = lawFrom({ ...history, fleet });
        const passed = (after: number) => law?.reachedBy(target, since + after) ?? 0;
        const missed = misses(passed, outcome);
        const { log } = crps(passed, outcome, asOf - since + CAP_DAYS);
        return { log, covered: 1 - missed.below - missed.above };
      };
      const [alone, lent] = [score(undefined), score(others)];
      sums.origins += 1;
      sums.alone += alone.log;
      sums.lent += lent.log;
      sums.coveredAlone += alone.covered;
      sums.coveredLent += lent.covered;
    }
  }
  const { origins } = sums;
  return {
    origins,
    alone: sums.alone / origins,
    lent: sums.lent / origins,
    coveredAlone: sums.coveredAlone / origins,
    coveredLent: sums.coveredLent / origins,
  };
}

/** A machine of which nothing is known before the fleet has run for a while. */
function lateComer(series: Series): Series {
  const from = (series.truth[0]?.day ?? 0) + NEW_AFTER_DAYS;
  const { declaredKmPerYear: _, ...rest } = series;
  const { posted, truth } = series;
  const first = truth.find(({ day }) => day >= from);
  const later = posted.filter(({ day }) => day > from);
  return { ...rest, posted: first === undefined ? later : [first, ...later] };
}
