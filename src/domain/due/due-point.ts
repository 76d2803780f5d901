import type { PlainDate } from "../calendar/plain-date.ts";
import { type Interval, intervalInForce } from "../interval/interval-in-force.ts";
import { type LimitName, type Limits, resolveLimits } from "../interval/limits.ts";
import type { LastWork, MachineFacts, TaskPlan } from "../interval/task-plan.ts";
import { type CountedLimits, countLimits } from "./count-limits.ts";
import { type FixedDates, fixedDateInForce, fixedDateMovesOn } from "./fixed-date.ts";
import { occurrenceOf } from "./occurrence.ts";

/** The measures in which a due point is told. */
export type DueLimit = "distance" | "hours" | "date";

/** One figure a limit: totals in the meter's unit and in hours, and a plain date. */
export interface DueFigures {
  distance?: number;
  hours?: number;
  date?: PlainDate;
}

/** The edges of the permitted window, as totals and dates; work on an edge lies within. */
export interface PermittedWindow {
  early: DueFigures;
  late: DueFigures;
}

/** Why the point lies where it does. */
export interface DueReason {
  counted: "fromWork" | "fromStart" | "mark" | "fixedDate" | "manufacture";
  /** The severe-use factor, where it shortened a limit of the point. */
  severeFactor?: number;
  /** Limits of the task that could not be counted because what they count from is not known. */
  uncounted: LimitName[];
}

/** Where a task next falls due. */
export interface DuePoint extends DueFigures {
  /**
   * Opaque: what the point counts from or falls on, the same however the forecast moves:
   * `start`, `work:<record id, or date>`, `mark:6000`, `hours:100`, `date:2027-05-01`; marks of
   * several limits are joined by `+`.
   */
  occurrence: string;
  from: "first" | "every" | "date";
  whichever: "first" | "last";
  window: PermittedWindow;
  why: DueReason;
}

/** `unknown` asks for the last work; `done` and `notApplicable` ask and remind of nothing. */
export type Due =
  | { state: "point"; point: DuePoint }
  | { state: "unknown" }
  | { state: "done" }
  | { state: "notApplicable" };

/**
 * Where the task next falls due, by what is printed and what is known of the last work. A limit of
 * which the machine has no meter is part of the point all the same. `today`, in the member's zone,
 * chooses among the dates of a `fixedDate` task and matters to no other.
 */
export function duePoint(
  plan: TaskPlan,
  last: LastWork,
  machine: MachineFacts,
  today: PlainDate,
): Due {
  if (plan.kind === "fixedDate") return fixedDatePoint(plan, last, machine, today);
  const interval = intervalInForce(plan, last, machine);
  if (interval === "done" || interval === "notApplicable") return { state: interval };
  if (last.state === "unknown") return { state: "unknown" };
  const counted = countLimits(plan, interval, last, machine);
  if (counted === null) return { state: "unknown" };
  return { state: "point", point: pointOf(plan, interval, last, counted) };
}

/**
 * The first day on which `duePoint` answers otherwise with nothing new logged: only a `fixedDate`
 * task moves by itself, from a date that was missed to the next one. `null`: never.
 */
export function duePointMovesOn(
  plan: TaskPlan,
  last: LastWork,
  machine: MachineFacts,
  today: PlainDate,
): PlainDate | null {
  const dates = plan.kind === "fixedDate" ? fixedDatesOf(plan, last, machine) : null;
  return dates === null ? null : fixedDateMovesOn(dates, today);
}

function pointOf(
  plan: TaskPlan,
  interval: Interval,
  last: LastWork,
  counted: CountedLimits,
): DuePoint {
  const { distance, hours, date } = counted;
  const why: DueReason = { counted: counted.counted, uncounted: counted.uncounted };
  if (plan.severe?.limits.some((name) => interval.limits[name] !== undefined)) {
    why.severeFactor = plan.severe.factor;
  }
  return {
    occurrence: occurrenceOf(last, counted),
    from: interval.from,
    ...figures(distance?.at, hours?.at, date?.at),
    whichever: plan.whichever,
    window: {
      early: figures(distance?.early, hours?.early, date?.early),
      late: figures(distance?.late, hours?.late, date?.late),
    },
    why,
  };
}

function figures(
  distance: number | undefined,
  hours: number | undefined,
  date: PlainDate | undefined,
): DueFigures {
  return {
    ...(distance !== undefined && { distance }),
    ...(hours !== undefined && { hours }),
    ...(date !== undefined && { date }),
  };
}

function fixedDatePoint(
  plan: TaskPlan,
  last: LastWork,
  machine: MachineFacts,
  today: PlainDate,
): Due {
  const dates = fixedDatesOf(plan, last, machine);
  if (dates === null) return { state: "unknown" };
  const date = fixedDateInForce(dates, today);
  const point: DuePoint = {
    occurrence: `date:${date.at}`,
    from: "date",
    date: date.at,
    whichever: plan.whichever,
    window: { early: { date: date.early }, late: { date: date.late } },
    why: { counted: "fixedDate", uncounted: [] },
  };
  return { state: "point", point };
}

function fixedDatesOf(plan: TaskPlan, last: LastWork, machine: MachineFacts): FixedDates | null {
  if (plan.on === undefined) return null;
  const monthsOf = (posted: TaskPlan["early"]): Limits["months"] =>
    resolveLimits(posted ?? {}, machine.meterUnit).months;
  const repeat = {
    months: monthsOf(plan.every) ?? 12,
    early: monthsOf(plan.early),
    late: monthsOf(plan.late),
  };
  return { on: plan.on, repeat, doneOn: last.state === "done" ? last.on : null };
}
