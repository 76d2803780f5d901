import type { RiddenHistory } from "../../domain/forecast/fit.ts";
import { isFourWheeled } from "../../domain/usage/habit.ts";
import type { Outcome } from "./score.ts";
import { seeded } from "./seeded.ts";
import { dayPassed, type Series } from "./series.ts";

/** A moment at which a forecast is asked for, and what became of it. */
export interface Origin {
  readonly history: RiddenHistory;
  readonly target: number;
  /** The day of the last reading, from which the outcome counts. */
  readonly since: number;
  readonly outcome: Outcome;
}

/** Service intervals, km: common practice, no source. */
const INTERVAL = { fourWheels: 15_000, others: 6000 };
const ORIGINS = 60;
/** As many as the product estimates from. */
const MOST_READINGS = 240;
/** Nothing can be learned from a forecast made on the last days of a series. */
const LEAST_AHEAD = 21;

/**
 * Rolling origins of a series: moments spread evenly over its time, each seeing the readings up
 * to then that the product would use, each with a due point between a tenth of a service interval and a whole one
 * ahead of the last reading. Chosen by the series' place in the list alone, never by what follows.
 */
export function originsOf(series: Series, seed: number): Origin[] {
  const random = seeded(1 + seed);
  const first = series.posted[0]?.day ?? 0;
  const end = series.truth.at(-1)?.day ?? 0;
  const room = end - LEAST_AHEAD - first;
  if (room <= 0) return [];
  return Array.from({ length: ORIGINS }, (_, i) => {
    const asOf = first + (room * (i + random())) / ORIGINS;
    return originOn(series, asOf, 10 ** -random());
  });
}

/** The origin of one moment, not before the first reading, with a due point a share of a service interval ahead. */
export function originOn(series: Series, asOf: number, share: number): Origin {
  const history = historyUntil(series, asOf);
  const last = history.readings.at(-1);
  if (last === undefined) throw new RangeError("an origin cannot lie before the first reading");
  const target = last.km + intervalOf(series) * share;
  const passed = dayPassed(series.truth, target);
  const end = series.truth.at(-1)?.day ?? 0;
  const outcome = { days: (passed ?? end) - last.day, seen: passed !== null };
  return { history, target, since: last.day, outcome };
}

function intervalOf({ kind }: Series): number {
  return isFourWheeled(kind) ? INTERVAL.fourWheels : INTERVAL.others;
}

/** What is known of a series at a moment. */
export function historyUntil(series: Series, asOf: number): RiddenHistory {
  const { kind, layUps, declaredKmPerYear } = series;
  const readings = series.posted.filter(({ day }) => day <= asOf).slice(-MOST_READINGS);
  return { kind, readings, asOf, layUps, declaredKmPerYear, south: false };
}
