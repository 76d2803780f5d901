import { MS_PER_DAY } from "../../domain/calendar/plain-date.ts";
import { dateAt } from "../../domain/calendar/zone.ts";
import { type LikelyDays, type News, stageReached, tell } from "../../domain/reminder/tell.ts";
import { type Deps, eventOf } from "../deps.ts";
import type { MachineChanges } from "../ports.ts";
import type { EventRecord } from "../records.ts";
import { figuresShown } from "./as-shown.ts";
import type { Assessed, AssessedTask } from "./assess.ts";
import { daysToNextTime } from "./next-time.ts";
import type { PlannedTask } from "./planned-task.ts";

/**
 * What followers are told of a machine's tasks now: `task.ahead`, `task.due` and `task.overdue` when
 * a stage is reached, with or without a recipient, and `forecast.changed`. Tasks that nothing is in
 * force of any more are forgotten.
 */
export function tellFollowers(
  assessed: Assessed,
  planned: readonly PlannedTask[],
  deps: Pick<Deps, "ids">,
): Pick<MachineChanges, "told" | "events"> {
  const told: NonNullable<MachineChanges["told"]> = [];
  const events: EventRecord[] = [];
  const byTask = new Map(planned.map((one) => [one.task.task.id, one]));
  for (const { task } of assessed.tasks) {
    const one = byTask.get(task.id);
    const news = one ? newsOf(assessed, one) : "over";
    if (news === null || (news === "over" && task.told === null)) continue;
    told.push({ taskId: task.id, told: news === "over" ? null : news.told });
    if (one && news !== "over") events.push(...eventsOf(assessed, one, news, deps));
  }
  return { ...(told.length > 0 && { told }), ...(events.length > 0 && { events }) };
}

function newsOf(assessed: Assessed, { task, toPlan, moments }: PlannedTask): News | null | "over" {
  if (toPlan.occurrence === null) return "over";
  if (moments === null) return null;
  return tell(task.task.told, {
    occurrence: toPlan.occurrence,
    stage: stageReached(moments, assessed.now),
    most: task.crossing?.dayReached(0.5) ?? null,
    days: () => daysOf(assessed, task),
    leadDays: task.lead.days,
    today: assessed.now / MS_PER_DAY,
    now: assessed.now,
  });
}

function daysOf(assessed: Assessed, task: AssessedTask): LikelyDays {
  const [from, most, to] = task.crossing?.daysReached([0.1, 0.5, 0.9]) ?? [];
  const again = daysToNextTime(assessed, task);
  return { from: from ?? null, most: most ?? null, to: to ?? null, again };
}

function eventsOf(
  { machine, now, zone }: Assessed,
  { task: { task, due }, moments }: PlannedTask,
  { told, stage, moved }: News,
  deps: Pick<Deps, "ids">,
): EventRecord[] {
  const on = (day: number | null) => (day === null ? null : dateAt(day * MS_PER_DAY, zone));
  const likely = { from: on(told.from), most: on(told.most), to: on(told.to) };
  const subject = { resourceId: task.id, vehicleId: machine.vehicle.id };
  const data = {
    taskId: task.id,
    title: task.title,
    occurrence: told.occurrence,
    ...(due.state === "point" && { due: figuresShown(machine, due.point) }),
    likely,
  };
  const events: EventRecord[] = [];
  if (moved) {
    const before = { most: on(task.told?.most ?? null) };
    events.push(eventOf(deps, now, "forecast.changed", subject, { ...data, before }));
  }
  if (stage !== null) {
    const reached = { ...data, by: moments?.[stage]?.by };
    events.push(eventOf(deps, now, `task.${stage}`, subject, reached));
  }
  return events;
}
