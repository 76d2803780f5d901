import { isSouthern } from "../../domain/calendar/hemisphere.ts";
import { startOfDay } from "../../domain/calendar/zone.ts";
import { comparePlans } from "../../domain/reminder/compare-plans.ts";
import { type AskToPlan, planAsk } from "../../domain/reminder/plan-ask.ts";
import { momentsOf, planTask, type TaskToPlan } from "../../domain/reminder/plan-task.ts";
import type { Preferences } from "../../domain/reminder/preferences.ts";
import { type Existing, reminderKey, type Wanted } from "../../domain/reminder/reminder.ts";
import { convertDistance } from "../../domain/units/distance.ts";
import { type Deps, fresh } from "../deps.ts";
import type { KnownReminder, MachineChanges } from "../ports.ts";
import type { Assessed, AssessedTask } from "./assess.ts";
import { expectedDayOf, outlookOf } from "./outlook.ts";
import type { PlannedTask } from "./planned-task.ts";
import { replanning } from "./replanning.ts";
import { tellFollowers } from "./tell-followers.ts";

/**
 * What must be written so that the stored reminders of a machine are those that its state asks for,
 * and so that followers have been told of it. The same state asks for the same, so that planning
 * again writes nothing.
 */
export function planReminders(assessed: Assessed, deps: Pick<Deps, "ids">): MachineChanges {
  const existing = assessed.machine.reminders.map(existingOf);
  const inForce = new Map(assessed.tasks.map((one) => [one.task.id, occurrenceOf(one)]));
  const planned = assessed.machine.vehicle.disposedOn === null ? plannedOf(assessed, existing) : [];
  const wanted = wantedOf(assessed, planned, existing);
  const { insert, move, cancel } = comparePlans(existing, wanted, inForce);
  return {
    ...replanning(assessed, planned),
    ...tellFollowers(assessed, planned, deps),
    remindersAdded: insert.map((wanted) => newReminder(wanted, assessed.now, deps)),
    remindersMoved: move.map(({ id, plannedFor, why }) => ({ id, plannedFor, why: { ...why } })),
    remindersCancelled: cancel.map(({ id, why }) => ({ id, why: { by: why } })),
  };
}

function occurrenceOf({ due }: AssessedTask): string | null {
  return due.state === "point" ? due.point.occurrence : null;
}

function plannedOf(assessed: Assessed, existing: readonly Existing[]): PlannedTask[] {
  const { vehicle, responsible } = assessed.machine;
  const preferences = preferencesOf(assessed);
  return assessed.tasks.map((task) => {
    const outlook = outlookOf(assessed, task);
    const toPlan: TaskToPlan = {
      memberId: responsible.id,
      vehicleId: vehicle.id,
      taskId: task.task.id,
      occurrence: occurrenceOf(task),
      outlook: task.crossing === null && outlook?.dueDate === undefined ? null : outlook,
      expectedDay: expectedDayOf(assessed, task),
      paused: task.task.plan.paused,
      ...stillness(assessed),
      lead: task.lead,
      preferences,
      now: assessed.now,
      existing: existing.filter((one) => one.taskId === task.task.id),
    };
    return { task, toPlan, outlook, moments: momentsOf(toPlan) };
  });
}

/** Whoever has left the mailing is asked for nothing. */
function wantedOf(
  assessed: Assessed,
  planned: readonly PlannedTask[],
  existing: readonly Existing[],
): Wanted[] {
  const { vehicle, responsible } = assessed.machine;
  if (vehicle.disposedOn !== null || responsible.unsubscribedAt !== null) return [];
  const wanted = planned.flatMap(({ toPlan, moments }) => planTask(toPlan, moments));
  const ask = planAsk(askToPlan(assessed, planned, existing));
  return ask ? [...wanted, ask] : wanted;
}

function askToPlan(
  assessed: Assessed,
  planned: readonly PlannedTask[],
  existing: readonly Existing[],
): AskToPlan {
  const { machine, meters, now, zone } = assessed;
  const latest = Math.max(meters.distance.latest?.at ?? 0, meters.hours.latest?.at ?? 0);
  const layUp = runningLayUp(assessed);
  return {
    memberId: machine.responsible.id,
    vehicleId: machine.vehicle.id,
    tasks: planned.filter(isMetered).map(({ task, outlook }) => ({
      outlook: latest === 0 ? null : outlook,
      leadDays: task.lead.days,
    })),
    silentSince: latest === 0 ? machine.vehicle.createdAt : Math.min(latest, now),
    ...(layUp && { layUp: { from: startOfDay(layUp.from, zone), until: layUp.until } }),
    south:
      machine.vehicle.hemisphere === null
        ? isSouthern(zone)
        : machine.vehicle.hemisphere === "south",
    preferences: preferencesOf(assessed),
    now,
    existing: existing.filter((one) => one.taskId === null),
  };
}

/** Only what a meter can tell about makes a reading worth asking for. */
function isMetered({ task: { due, task } }: PlannedTask): boolean {
  if (due.state !== "point" || task.plan.paused) return false;
  return due.point.distance !== undefined || due.point.hours !== undefined;
}

function stillness(assessed: Assessed): { stillUntil?: number | null } {
  const layUp = runningLayUp(assessed);
  if (layUp) return { stillUntil: layUp.until };
  return assessed.machine.vehicle.offRoad ? { stillUntil: null } : {};
}

function runningLayUp({ machine, today, zone }: Assessed) {
  const running = machine.layUps.find(
    ({ from, to }) => from <= today && (to === null || today < to),
  );
  if (!running) return null;
  return { from: running.from, until: running.to === null ? null : startOfDay(running.to, zone) };
}

function preferencesOf({ machine: { responsible, vehicle } }: Assessed): Preferences {
  const { leadDays, leadDistance, sendingHour, quietDays, askForReadings } = responsible.reminders;
  return {
    leadDays,
    ...(leadDistance !== null && {
      leadDistance: convertDistance(leadDistance, responsible.unit, vehicle.meterUnit),
    }),
    sendingHour,
    quietDays,
    askForReadings,
    zone: responsible.timeZone,
  };
}

function existingOf(row: KnownReminder): Existing {
  const { deferredUntilOn: on, deferredUntilDistance: distance } = row;
  const deferred = on !== null || distance !== null;
  return {
    id: row.id,
    memberId: row.memberId,
    vehicleId: row.vehicleId,
    taskId: row.taskId,
    occurrence: row.occurrence,
    revision: row.revision,
    stage: row.stage,
    plannedFor: row.plannedFor,
    status: row.status,
    ...(deferred && { deferredUntil: { on: on ?? undefined, distance: distance ?? undefined } }),
    ...(row.sentAt !== null && { sentAt: row.sentAt }),
    ...(row.expectedDay !== null && { dueAtSending: row.expectedDay }),
    ...(row.cancelledBy !== null && { cancelledBy: row.cancelledBy }),
  };
}

function newReminder(wanted: Wanted, now: number, deps: Pick<Deps, "ids">) {
  return {
    ...fresh(deps, now),
    key: reminderKey(wanted),
    memberId: wanted.memberId,
    vehicleId: wanted.vehicleId,
    taskId: wanted.taskId,
    occurrence: wanted.occurrence,
    revision: wanted.revision,
    stage: wanted.stage,
    plannedFor: wanted.plannedFor,
    status: "planned" as const,
    why: { ...wanted.why },
    deferredUntilOn: null,
    deferredUntilDistance: null,
    expectedDay: null,
    cancelledBy: null,
    messageId: null,
    sentAt: null,
  };
}
