import { dateAt } from "../../domain/calendar/zone.ts";
import type { DueFigures, DuePoint, PermittedWindow } from "../../domain/due/due-point.ts";
import { measuringPlan } from "../../domain/finding/measuring-plan.ts";
import { type MeasuringPoint, unitOf } from "../../domain/finding/point.ts";
import { shownFor } from "../../domain/meter/total.ts";
import type { KnownTask } from "../ports.ts";
import { changesOf } from "../readings/place-reading.ts";
import type { MeterName } from "../records.ts";
import type {
  DueTold,
  EstimateView,
  JobView,
  LikelyDates,
  MachineView,
  PointView,
  ReminderItemView,
  ReminderMachineView,
  WhyView,
  WindowView,
} from "../views.ts";
import { distanceShown, figuresShown } from "./as-shown.ts";
import type { Assessed, AssessedTask } from "./assess.ts";
import { dateReached } from "./likely-dates.ts";
import type { MeterKnown } from "./meters.ts";

/** A machine as people are shown it. */
export function machineView({ vehicle }: Assessed["machine"]): MachineView {
  return {
    name: vehicle.name,
    meterUnit: vehicle.meterUnit,
    ...(vehicle.group !== null && { group: vehicle.group }),
  };
}

/** What the meter shows today, as a range; absent without a reading. */
export function estimateView(
  { machine, meters }: Assessed,
  meter: MeterName = "distance",
): EstimateView | undefined {
  const { law, fromLaw } = meters[meter];
  if (!law) return undefined;
  const changes = changesOf(machine, meter);
  const [p10, p50, p90] = [0.1, 0.5, 0.9].map((p) => shownFor(fromLaw(law.totalToday(p)), changes));
  return { p10: p10 ?? 0, p50: p50 ?? 0, p90: p90 ?? 0 };
}

export function reminderMachineView(
  assessed: Assessed,
  items: readonly ReminderItemView[],
  asked: Pick<ReminderMachineView, "asks" | "asksAfterLayUp">,
  links: ReminderMachineView["links"],
): ReminderMachineView {
  const meterToday = estimateView(assessed);
  const hoursToday = estimateView(assessed, "hours");
  return {
    ...machineView(assessed.machine),
    ...(meterToday && { meterToday }),
    ...(hoursToday && { hoursToday }),
    laidUp: assessed.laidUp,
    ...asked,
    ...lastReadingOf(assessed),
    items,
    links,
  };
}

/** What the meter showed when it was last read, to compare with the instrument. */
function lastReadingOf({ machine, meters: { distance }, zone }: Assessed) {
  const { latest } = distance;
  return (
    latest && {
      lastReading: { value: distanceShown(machine, latest.total), on: dateAt(latest.at, zone) },
    }
  );
}

/** One task of a reminder, as it stands when the message is sent. */
export function reminderItemView(
  assessed: Assessed,
  one: AssessedTask,
  reminder: { stage: ReminderItemView["stage"]; occurrence: string; revision: number },
  links: ReminderItemView["links"],
): ReminderItemView | null {
  if (one.due.state !== "point") return null;
  return {
    ...jobView(one.task),
    ...dueTold(assessed, one, one.due.point, reminder.stage),
    taskId: one.task.id,
    occurrence: reminder.occurrence,
    revision: reminder.revision,
    why: whyViews(one),
    window: windowView(assessed.machine, one.due.point.window),
    links,
  };
}

/** How a task's due point stands, told at the stage; without where it comes from. */
export function dueTold(
  assessed: Assessed,
  one: AssessedTask,
  point: DuePoint,
  stage: DueTold["stage"],
): DueTold {
  const likely = likelyDates(assessed, one);
  return {
    stage,
    byRule: one.judged.by ?? (point.distance === undefined ? "date" : "distance"),
    due: figuresShown(assessed.machine, point),
    ...(likely && { likely }),
    ...(one.judged.knownFrom && { reachedBy: one.judged.knownFrom }),
    ...leftOf(assessed, point),
  };
}

export function likelyDates(
  { zone }: Assessed,
  { crossing }: AssessedTask,
): LikelyDates | undefined {
  if (!crossing) return undefined;
  const [from, innerFrom, most, innerTo, to] = [0.1, 0.25, 0.5, 0.75, 0.9].map((p) =>
    dateReached(crossing, p, zone),
  );
  return {
    from: from ?? null,
    to: to ?? null,
    most: most ?? null,
    innerFrom: innerFrom ?? null,
    innerTo: innerTo ?? null,
  };
}

/** What a person needs at the machine for the task. */
export function jobView(task: KnownTask): JobView {
  const named = <T extends { name: string }>(list: (string | T)[]) =>
    list.map((one) => (typeof one === "string" ? { name: one } : one));
  return {
    title: task.title,
    ...(task.minutes !== null && { minutes: task.minutes }),
    access: task.access,
    steps: task.steps,
    tools: task.tools,
    parts: named(task.parts) as NonNullable<JobView["parts"]>,
    fluids: named(task.fluids) as NonNullable<JobView["fluids"]>,
    points: task.points.map(pointView),
    cautions: task.cautions,
    closingChecks: task.closingChecks,
  };
}

export function pointView(point: MeasuringPoint): PointView {
  const leavesToTry =
    point.method === "feeler"
      ? measuringPlan(point).order.map(({ thickness }) => thickness)
      : undefined;
  const unit = unitOf(point);
  return {
    name: point.name,
    method: point.method,
    ...(unit !== "" && { unit }),
    ...(point.lower !== undefined && { lower: point.lower }),
    ...(point.upper !== undefined && { upper: point.upper }),
    ...(leavesToTry && { leavesToTry }),
  };
}

function whyViews({ task, last, due }: AssessedTask): WhyView[] {
  const views: WhyView[] = [];
  if (last.state === "done") {
    const { on, distance } = last;
    views.push({ code: "lastWork", on, ...(distance !== undefined && { distance }) });
  }
  if (due.state === "point" && due.point.why.severeFactor !== undefined && task.plan.severe) {
    const { factor, reason } = task.plan.severe;
    views.push({ code: "severe", factor, reason });
  }
  return views;
}

function leftOf({ meters }: Assessed, point: DueFigures) {
  const left = (limit: number | undefined, meter: MeterKnown): number | undefined =>
    limit === undefined || !meter.law
      ? undefined
      : limit - meter.fromLaw(meter.law.totalToday(0.5));
  const distanceLeft = left(point.distance, meters.distance);
  const hoursLeft = left(point.hours, meters.hours);
  return {
    ...(distanceLeft !== undefined && { distanceLeft }),
    ...(hoursLeft !== undefined && { hoursLeft }),
  };
}

function windowView(machine: Assessed["machine"], window: PermittedWindow): WindowView {
  const [early, late] = [window.early, window.late].map((edge) => figuresShown(machine, edge));
  const span = <T>(from: T | undefined, to: T | undefined) =>
    from === undefined || to === undefined ? undefined : { from, to };
  const distance = span(early?.distance, late?.distance);
  const hours = span(early?.hours, late?.hours);
  const date = span(early?.date, late?.date);
  return { ...(distance && { distance }), ...(hours && { hours }), ...(date && { date }) };
}
