import { type Limits, type PostedLimits, resolveLimits } from "./limits.ts";
import type { LastWork, MachineFacts, SevereUse, TaskPlan } from "./task-plan.ts";

/** The interval that a task counts now, severe use included. */
export interface Interval {
  from: "first" | "every";
  limits: Limits;
  /** The permitted window where it is told; 10 % of the interval for a limit that is not. */
  early: Limits;
  late: Limits;
}

/**
 * Which of `first` and `every` counts. `first` counts until the task has been done, unless the
 * machine was bought used beyond it; `every` counts after that. Severe use shortens both, with
 * their windows.
 *
 * `done`: nothing falls due any more. `notApplicable`: `first` does not concern this machine and
 * there is nothing else.
 */
export function intervalInForce(
  plan: TaskPlan,
  last: LastWork,
  machine: MachineFacts,
): Interval | "done" | "notApplicable" {
  const isDone = last.state === "done";
  if (plan.kind === "once" && isDone) return "done";
  if (plan.first !== undefined && !isDone) {
    if (!boughtBeyond(plan.first, machine)) return intervalOf("first", plan.first, plan, machine);
    if (plan.kind === "once") return "notApplicable";
  }
  if (plan.every !== undefined) return intervalOf("every", plan.every, plan, machine);
  return isDone ? "done" : "notApplicable";
}

/**
 * Whether the first reading already lay beyond the printed run-in. The distance decides; the hours
 * decide only where the run-in has no distance.
 */
function boughtBeyond(first: PostedLimits, machine: MachineFacts): boolean {
  const runIn = resolveLimits(first, machine.meterUnit);
  if (runIn.distance !== undefined) return (machine.distanceAtFirstReading ?? 0) > runIn.distance;
  return runIn.hours !== undefined && (machine.hoursAtFirstReading ?? 0) > runIn.hours;
}

function intervalOf(
  from: "first" | "every",
  posted: PostedLimits,
  plan: TaskPlan,
  machine: MachineFacts,
): Interval {
  const ownsWindow = from === "every" || plan.every === undefined;
  const resolved = (limits: PostedLimits | undefined) =>
    shorten(resolveLimits(limits ?? {}, machine.meterUnit), plan.severe);
  return {
    from,
    limits: resolved(posted),
    early: ownsWindow ? resolved(plan.early) : {},
    late: ownsWindow ? resolved(plan.late) : {},
  };
}

function shorten(limits: Limits, severe: SevereUse | undefined): Limits {
  if (severe === undefined) return limits;
  const shortened = { ...limits };
  for (const name of severe.limits) {
    const limit = limits[name];
    if (limit !== undefined) shortened[name] = limit * severe.factor;
  }
  return shortened;
}
