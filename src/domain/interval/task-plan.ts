import type { PlainDate } from "../calendar/plain-date.ts";
import type { DistanceUnit } from "../units/distance.ts";
import type { LimitName, PostedLimits } from "./limits.ts";

/** What a schedule says about when one task falls due. */
export interface TaskPlan {
  kind: "recurring" | "once" | "fixedDate";
  /** The run-in: once, before `every` applies. */
  first?: PostedLimits;
  every?: PostedLimits;
  /** The printed date of a `fixedDate` task, which repeats by `every.months`, 12 unless told. */
  on?: PlainDate;
  whichever: "first" | "last";
  /** `completion` counts from where the work was done, `marks` keeps 6000, 12000, ... */
  repeatFrom: "completion" | "marks";
  /** `manufacture` counts months from when the fitted part was made. */
  countsFrom: "work" | "manufacture";
  severe?: SevereUse;
  /**
   * How much before and after the due point the work still counts; 10 % of the interval for a limit
   * that is not told. They belong to `every`, or to `first` where there is no `every`.
   */
  early?: PostedLimits;
  late?: PostedLimits;
  paused: boolean;
}

/** Why a machine needs the work more often; `factor` in (0, 1] shortens the limits named. */
export interface SevereUse {
  factor: number;
  reason: string;
  limits: LimitName[];
}

/**
 * What is known of the last time that the task was done. `distance` is a total in the meter's unit,
 * `hours` a total; a limit whose total is missing cannot be counted from this work. `madeOn` is
 * when the part that was fitted then was made.
 */
export type LastWork =
  | {
      state: "done";
      on: PlainDate;
      distance?: number;
      hours?: number;
      madeOn?: PlainDate;
      recordId?: string;
    }
  | { state: "never" }
  | { state: "unknown" };

/**
 * What due points need to know of the machine. The totals at its first reading tell a machine
 * that was bought used beyond its run-in; they are totals in the meter's unit and in hours.
 */
export interface MachineFacts {
  meterUnit: DistanceUnit;
  inServiceOn?: PlainDate;
  distanceAtFirstReading?: number;
  hoursAtFirstReading?: number;
}
