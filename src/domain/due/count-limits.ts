import type { PlainDate } from "../calendar/plain-date.ts";
import type { Interval } from "../interval/interval-in-force.ts";
import type { LimitName } from "../interval/limits.ts";
import type { LastWork, MachineFacts, TaskPlan } from "../interval/task-plan.ts";
import { datePointAt, datePointFrom, firstUncoveredDate } from "./date-point.ts";
import type { LimitPoint } from "./limit-point.ts";
import { firstUncoveredMark, meterPointFrom } from "./meter-point.ts";

/** The limits of one interval counted out, each on its own. */
export interface CountedLimits {
  distance: LimitPoint<number> | undefined;
  hours: LimitPoint<number> | undefined;
  date: LimitPoint<PlainDate> | undefined;
  counted: "fromWork" | "fromStart" | "mark" | "manufacture";
  /** Limits whose start is not known: the work's total was not noted, or no date is known. */
  uncounted: LimitName[];
}

type KnownWork = Exclude<LastWork, { state: "unknown" }>;

/** Counts each limit from where it starts; `null` when no limit's start is known. */
export function countLimits(
  plan: TaskPlan,
  interval: Interval,
  last: KnownWork,
  machine: MachineFacts,
): CountedLimits | null {
  const byMarks = plan.repeatFrom === "marks" && interval.from === "every";
  const fromPart = plan.countsFrom === "manufacture" && last.state === "done";
  const distance = meterLimit("distance", interval, last, byMarks);
  const hours = meterLimit("hours", interval, last, byMarks);
  const date = dateLimit(interval, last, machine, { byMarks, fromPart });
  if (distance === undefined && hours === undefined && date === undefined) return null;
  const points = { distance, hours, months: date };
  const names: LimitName[] = ["distance", "months", "hours"];
  return {
    distance,
    hours,
    date,
    counted: startOf(last, byMarks, fromPart && date !== undefined),
    uncounted: names.filter(
      (name) => interval.limits[name] !== undefined && points[name] === undefined,
    ),
  };
}

function startOf(last: KnownWork, byMarks: boolean, fromPart: boolean): CountedLimits["counted"] {
  if (fromPart) return "manufacture";
  if (byMarks) return "mark";
  return last.state === "done" ? "fromWork" : "fromStart";
}

function meterLimit(
  name: "distance" | "hours",
  interval: Interval,
  last: KnownWork,
  byMarks: boolean,
): LimitPoint<number> | undefined {
  const length = interval.limits[name];
  if (length === undefined) return undefined;
  const limit = { length, early: interval.early[name], late: interval.late[name] };
  if (last.state === "never") {
    return byMarks ? firstUncoveredMark(null, limit) : meterPointFrom(0, limit);
  }
  const doneAt = last[name];
  if (doneAt === undefined) return undefined;
  return byMarks ? firstUncoveredMark(doneAt, limit) : meterPointFrom(doneAt, limit);
}

function dateLimit(
  interval: Interval,
  last: KnownWork,
  machine: MachineFacts,
  counts: { byMarks: boolean; fromPart: boolean },
): LimitPoint<PlainDate> | undefined {
  const { months } = interval.limits;
  if (months === undefined) return undefined;
  const limit = { months, early: interval.early.months, late: interval.late.months };
  const doneOn = last.state === "done" ? last.on : null;
  if (counts.byMarks && !counts.fromPart) {
    const anchor = machine.inServiceOn;
    if (anchor === undefined) return undefined;
    return datePointAt(anchor, firstUncoveredDate(anchor, doneOn, limit, 1), limit);
  }
  const madeOn = last.state === "done" ? last.madeOn : undefined;
  const start = counts.fromPart ? madeOn : (doneOn ?? machine.inServiceOn);
  return start === undefined ? undefined : datePointFrom(start, limit);
}
