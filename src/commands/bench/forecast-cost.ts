import { fit as fitDistance } from "../../domain/forecast/fit.ts";

/** The cost of one forecast; `toExp` is its ratio to 2,000 calls of Math.exp in the same run. */
export interface ForecastCost {
  microseconds: number;
  toExp: number;
}

/** Times one fit of fifteen readings with five quantiles and one probability. */
export function forecastCost(): ForecastCost {
  const readings = Array.from({ length: 15 }, (_, n) => ({ day: 20_000 + n * 14, km: n * 200 }));
  const machine = { kind: "motorcycle", readings, asOf: 20_220, layUps: [], south: false } as const;
  const forecast = () => {
    const law = fitDistance(machine);
    law?.daysReached(4000, [0.1, 0.25, 0.5, 0.75, 0.9]);
    law?.reachedBy(4000, 20_241);
  };
  let sum = 0;
  const exps = () => {
    for (let n = 0; n < 2000; n += 1) sum += Math.exp(-n / 1000);
  };
  const microseconds = perCall(forecast);
  const toExp = microseconds / perCall(exps);
  // The sum must be of use, or the compiler may leave the calls out.
  return { microseconds, toExp: sum > 0 ? toExp : Number.NaN };
}

const TIMES = 4000;
/** Enough for the compiler to have made up its mind. */
const WARM_UP = 8000;

function perCall(work: () => void): number {
  for (let n = 0; n < WARM_UP; n += 1) work();
  const started = performance.now();
  for (let n = 0; n < TIMES; n += 1) work();
  return ((performance.now() - started) * 1000) / TIMES;
}
