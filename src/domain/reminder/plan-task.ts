import type { Instant } from "../calendar/plain-date.ts";
import { deferralEnds } from "./deferral.ts";
import { calendarAlone, type Outlook } from "./outlook.ts";
import type { Preferences } from "./preferences.ts";
import { type Existing, isOpen, isSilenced, type Wanted } from "./reminder.ts";
import { revisionFor } from "./revision.ts";
import { nextSendingHour } from "./sending-hour.ts";
import {
  type Lead,
  type Moment,
  type StageMoments,
  stageMoments,
  type TaskStage,
} from "./stages.ts";
import { type Thresholds, thresholdsFor } from "./thresholds.ts";

/** One task of one machine, for one member whom it concerns. */
export interface TaskToPlan {
  memberId: string;
  vehicleId: string;
  taskId: string;
  /** The occurrence now in force; null when it is unknown, done or not applicable. */
  occurrence: string | null;
  /** Null when nothing is known of it: no reading and no date. */
  outlook: Outlook | null;
  /** Day on which it is most likely due, over all limits; null = not in sight. */
  expectedDay: number | null;
  paused: boolean;
  /** End of the lay-up that runs now; null = no end known; absent = in use. */
  stillUntil?: Instant | null | undefined;
  /** The task's own lead; each figure stands before the member's. */
  lead?: Partial<Lead> | undefined;
  thresholds?: Thresholds | undefined;
  preferences: Preferences;
  /** When the data last changed, not when the plan is worked out: the same data give the same plan. */
  now: Instant;
  /** Reminders of this member and task, of any occurrence. */
  existing: readonly Existing[];
}

const STAGES: readonly TaskStage[] = ["ahead", "due", "overdue"];

interface Planned {
  stage: TaskStage;
  moment: Moment;
  plannedFor: Instant;
  deferred: boolean;
}

/**
 * The reminders that a task asks for, with the sending hour of each; none while it is paused, done,
 * unknown or not applicable. A lay-up pauses what the meters say until it ends; the calendar speaks
 * on. A stage is left out when a later one speaks no later or was sent already, and for good when a
 * person cancelled it in this occurrence. A deferral holds every stage of the occurrence; then the
 * furthest that is reached speaks. What was sent is still told as wanted: see `comparePlans`.
 */
export function planTask(task: TaskToPlan, moments = momentsOf(task)): Wanted[] {
  const { occurrence, outlook, memberId, vehicleId, taskId } = task;
  if (moments === null || occurrence === null || outlook === null) return [];
  const same = task.existing.filter((reminder) => reminder.occurrence === occurrence);
  const lead = leadOf(task);
  const hold = heldUntil(task, outlook, same);
  const revision = revisionFor(same, task.expectedDay, lead.days);
  const ofRevision = same.filter((reminder) => reminder.revision === revision);
  const planned = STAGES.flatMap((stage) => {
    const moment = moments[stage];
    return moment === null ? [] : [plannedStage(task, stage, moment, hold, ofRevision)];
  });
  return planned
    .filter((one) => !isOvertaken(one, planned, ofRevision, task.now))
    .filter(({ stage }) => !same.some((r) => r.stage === stage && isSilenced(r)))
    .map(({ stage, plannedFor, moment, deferred }) => ({
      memberId,
      vehicleId,
      taskId,
      occurrence,
      revision,
      stage,
      plannedFor,
      why: deferred ? { by: moment.by, deferred } : { by: moment.by },
    }));
}

function leadOf({ lead, preferences }: TaskToPlan): Lead {
  return {
    days: lead?.days ?? preferences.leadDays,
    distance: lead?.distance ?? preferences.leadDistance,
  };
}

/**
 * When each stage of a task speaks, whoever listens; null while it is paused, done, unknown or not
 * applicable.
 */
export function momentsOf(task: TaskToPlan): StageMoments | null {
  const { now, stillUntil, preferences, outlook } = task;
  if (task.paused || task.occurrence === null || outlook === null) return null;
  const thresholds = task.thresholds ?? thresholdsFor();
  const lead = leadOf(task);
  const from = (start: Instant, seen: Outlook) =>
    stageMoments(seen, lead, start, preferences.zone, thresholds);
  if (stillUntil === undefined || (stillUntil !== null && stillUntil <= now)) {
    return from(now, outlook);
  }
  const meanwhile = from(now, calendarAlone(outlook));
  if (stillUntil === null) return meanwhile;
  const after = from(stillUntil, outlook);
  const first = (stage: TaskStage) => {
    const [a, b] = [meanwhile[stage], after[stage]];
    return a === null || (b !== null && b.at < a.at) ? b : a;
  };
  return { ahead: first("ahead"), due: first("due"), overdue: first("overdue") };
}

/** When the last deferral of an occurrence ends, or now where none holds it. */
function heldUntil(task: TaskToPlan, outlook: Outlook, same: readonly Existing[]): Instant {
  let held = task.now;
  for (const { deferredUntil, ...reminder } of same) {
    if (deferredUntil === undefined || isSilenced(reminder)) continue;
    const end = deferralEnds(deferredUntil, outlook, task.now, task.preferences.zone);
    held = Math.max(held, end);
  }
  return held;
}

function plannedStage(
  { now, preferences }: TaskToPlan,
  stage: TaskStage,
  moment: Moment,
  hold: Instant,
  ofRevision: readonly Existing[],
): Planned {
  const at = Math.max(moment.at, hold);
  const open = ofRevision.find((reminder) => reminder.stage === stage && isOpen(reminder));
  // A row that is due but not yet swept keeps its hour, or readings posted daily would put it off.
  const waiting = open !== undefined && open.plannedFor <= now && at <= now;
  return {
    stage,
    moment,
    plannedFor: waiting ? open.plannedFor : nextSendingHour(at, preferences),
    deferred: hold > moment.at,
  };
}

function isOvertaken(
  one: Planned,
  planned: readonly Planned[],
  ofRevision: readonly Existing[],
  now: Instant,
): boolean {
  const later = STAGES.slice(STAGES.indexOf(one.stage) + 1);
  const speaks = (other: Planned) =>
    later.includes(other.stage) && (other.plannedFor <= one.plannedFor || other.moment.at <= now);
  const sent = (reminder: Existing) =>
    reminder.status === "sent" && later.some((stage) => stage === reminder.stage);
  return planned.some(speaks) || ofRevision.some(sent);
}
