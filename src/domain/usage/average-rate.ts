import type { Ridden } from "./interval-ridden.ts";

/** Clock days that the expected rate weighs: one interval must not make certainty. */
const EXPECTED_DAYS = 30;

/**
 * Average rate over all that was ever ridden, km per clock day: (sum km + 30 expected)/(sum days + 30).
 * @param expected km per clock day, above 0
 */
export function averageRate(ridden: readonly Ridden[], expected: number): number {
  let km = EXPECTED_DAYS * expected;
  let days = EXPECTED_DAYS;
  for (const interval of ridden) {
    km += interval.km;
    days += interval.clockDays;
  }
  return km / days;
}
