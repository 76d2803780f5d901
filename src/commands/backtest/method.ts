import type { RiddenHistory } from "../../domain/forecast/fit.ts";

/** What a method makes of one machine at `asOf`, from readings that never fall. */
export interface Belief {
  /**
   * The law of the day on which the total reaches `km`, which lies above the last reading:
   * P(reached by `day`) as a function of the day (days since 1970-01-01, from the last reading on),
   * in [0, 1], never falling.
   */
  crossing(km: number): (day: number) => number;
  /** The belief at a later moment at which nothing was posted; absent where silence says nothing. */
  at?(asOf: number): Belief;
}

/** A way of forecasting, under the name that the table gives it. */
export interface Method {
  readonly name: string;
  /** What it believes; histories have at least one reading, all in time order and up to `asOf`. */
  believe(history: RiddenHistory): Belief;
}
