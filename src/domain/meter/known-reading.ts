import { type Instant, MS_PER_DAY } from "../calendar/plain-date.ts";
import { convertDistance, type DistanceUnit } from "../units/distance.ts";
import type { VehicleKind } from "../usage/kind.ts";
import type { Expectation } from "./expectation.ts";
import { mostHoursIn, mostKmIn } from "./plausible-speed.ts";
import { type MeterChange, totalOf } from "./total.ts";

/** What was posted: the figure shown, in its unit. */
export interface Posted {
  at: Instant;
  value: number;
  unit: DistanceUnit | "h";
}

/** A reading with what the machine had run in all, in the meter's unit. */
export interface Counted extends Posted {
  total: number;
}

/** A reading of the same meter that is known. */
export interface Known extends Counted {
  id: string;
  status: "accepted" | "held" | "superseded";
  confirmed: boolean;
}

export interface Context {
  meterUnit: DistanceUnit;
  kind: VehicleKind;
  now: Instant;
  /** A person looked again and said that it is right. */
  confirmed: boolean;
  /** The forecast at an instant from some readings up to it; null without any. */
  expect(before: readonly Counted[], at: Instant): Expectation | null;
}

/** The meter that readings are judged on: how it counts, and what its machine can do. */
export interface Meter {
  context: Context;
  changes: readonly MeterChange[];
}

/** The reading as it would be had the meter shown `value`. */
export function shownAs({ at, unit }: Posted, value: number, { context, changes }: Meter): Counted {
  return { at, unit, value, total: totalOf(inMeterUnit(value, unit, context), at, changes) };
}

export function inMeterUnit(value: number, unit: Posted["unit"], { meterUnit }: Context): number {
  return unit === "h" ? value : convertDistance(value, unit, meterUnit);
}

/** The most that the meter can move in so many days, in the meter's unit. */
export function mostIn(days: number, unit: Posted["unit"], { kind, meterUnit }: Context): number {
  return unit === "h" ? mostHoursIn(days) : convertDistance(mostKmIn(days, kind), "km", meterUnit);
}

/** Whether the meter would have had to move faster between two readings than any such machine can. */
export function isTooFast(one: Counted, other: Counted, context: Context): boolean {
  const days = Math.abs(one.at - other.at) / MS_PER_DAY;
  return Math.abs(one.total - other.total) > mostIn(days, one.unit, context);
}

/** What binary sums of tenths may be off by; far below what any meter shows. */
const SUM_ERROR = 1e-6;

/** Whether a reading lies below an earlier one although its meter may hide part of a unit. */
export function runsBackwards(earlier: Counted, later: Counted, context: Context): boolean {
  return later.total + Math.max(hiddenBy(later, context), SUM_ERROR) <= earlier.total;
}

/** A whole figure leaves up to a unit untold: 5210 stands for anything below 5211. Meter's unit. */
function hiddenBy({ value, unit }: Posted, context: Context): number {
  return Number.isInteger(value) ? inMeterUnit(1, unit, context) : 0;
}
