import { figuresShown } from "../../application/machine/as-shown.ts";
import type { Assessed, AssessedTask } from "../../application/machine/assess.ts";
import { quantilesOf } from "../../application/machine/likely-dates.ts";
import type { Task } from "../../application/records.ts";
import type { DueFigures } from "../../domain/due/due-point.ts";
import type { PostedLimits } from "../../domain/interval/limits.ts";
import { pairDisagrees } from "../../domain/units/pair.ts";
import { present, shownDistance, shownStored } from "./shown.ts";

/** A task as it stands: what was entered, where it falls due, when that will be. */
export function shownTask(assessed: AssessedTask, whole: Assessed) {
  const { machine } = whole;
  const { task, due } = assessed;
  const point = due.state === "point" ? due.point : null;
  return shownStored(task, {
    vehicleId: task.vehicleId,
    ...writableTask(task),
    lastWork: shownLastWork(assessed),
    scheduleId: task.scheduleId,
    ...shownOutlook(assessed, whole),
    occurrence: point?.occurrence ?? null,
    permittedWindow: point && {
      early: shownFigures(machine, point.window.early),
      late: shownFigures(machine, point.window.late),
    },
    warnings: pairWarnings(task),
  });
}

export function shownNext(assessed: AssessedTask, whole: Assessed) {
  const { id: taskId, title } = assessed.task;
  return { taskId, title, ...shownOutlook(assessed, whole) };
}

/** State, due point and forecast: what moves with readings and time. */
function shownOutlook(
  { due, judged, crossing, withinLead }: AssessedTask,
  { machine, zone }: Assessed,
) {
  const point = due.state === "point" ? due.point : null;
  const quantiles = crossing && quantilesOf(crossing, zone);
  const at = (p: number) => quantiles?.find((quantile) => quantile.p === p)?.on ?? null;
  return {
    state: judged.state,
    due: point && {
      ...shownFigures(machine, point),
      ...present({ by: judged.by }),
      why: present({ ...point.why, knownFrom: judged.knownFrom }),
    },
    forecast: quantiles && {
      quantiles,
      likely: { from: at(0.1), to: at(0.9), most: at(0.5) },
      withinLead: Math.round((withinLead ?? 0) * 10_000) / 10_000,
    },
  };
}

/** The writable part of a task, as a caller would write it. */
export function writableTask(task: Task) {
  const { plan } = task;
  return {
    title: task.title,
    kind: plan.kind,
    first: plan.first ?? null,
    every: plan.every ?? null,
    on: plan.on ?? null,
    whichever: plan.whichever,
    repeatFrom: plan.repeatFrom,
    countsFrom: plan.countsFrom,
    severe: plan.severe ?? null,
    early: plan.early ?? null,
    late: plan.late ?? null,
    lead: task.lead,
    paused: plan.paused,
    minutes: task.minutes,
    access: task.access,
    steps: task.steps,
    tools: task.tools,
    parts: task.parts,
    fluids: task.fluids,
    cautions: task.cautions,
    closingChecks: task.closingChecks,
    points: task.points,
    lastWork: task.statedWork,
  };
}

function shownLastWork({ last }: AssessedTask) {
  if (last.state !== "done") return last.state;
  return present({
    on: last.on,
    reading: last.distance === undefined ? undefined : shownDistance(last.distance),
    hours: last.hours === undefined ? undefined : shownDistance(last.hours),
    workRecordId: last.recordId,
  });
}

/** As the present instruments will show them: a due point told as a total would be no help at the machine. */
function shownFigures(machine: Assessed["machine"], figures: DueFigures) {
  const { distance, hours, date } = figuresShown(machine, figures);
  return present({
    distance: distance === undefined ? undefined : shownDistance(distance),
    hours: hours === undefined ? undefined : shownDistance(hours),
    date,
  });
}

/** Printed pairs that disagree by more than rounding explains: nothing is refused, a slip is likely. */
function pairWarnings({ plan }: Task) {
  return (["first", "every", "early", "late"] as const).flatMap((name) => {
    const pair = pairOf(plan[name]);
    if (!pair || !pairDisagrees(pair.km, pair.mi)) return [];
    return [
      {
        code: "pairDisagrees",
        detail: `${pair.km} km and ${pair.mi} mi are further apart than rounding explains; compare them with the handbook.`,
        pointer: `#/${name}/distance`,
      },
    ];
  });
}

function pairOf(limits: PostedLimits | undefined): { km: number; mi: number } | null {
  const distance = limits?.distance;
  if (distance === undefined || typeof distance === "number") return null;
  const { km, mi } = distance;
  return km === undefined || mi === undefined ? null : { km, mi };
}
