import type { Instant } from "../calendar/plain-date.ts";
import type { StageMoments, TaskStage } from "./stages.ts";

/** The days by which a due point is reached with probability 0.1, 0.5 and 0.9; null = not in sight. */
export interface LikelyDays {
  from: number | null;
  most: number | null;
  to: number | null;
  /** Days from this time to the one after it; null where it does not come again. */
  again: number | null;
}

/**
 * What followers (events, calendars) were last told of a task, so that only a change is told. Days
 * count from 1970-01-01T00:00Z, with fractions.
 */
export interface Told extends LikelyDays {
  /** The due point that it was told of. */
  occurrence: string;
  /** The furthest stage that was told of this due point; null before the first. */
  stage: TaskStage | null;
  /** Its likely day when that stage was told. */
  stageDay: number | null;
  stageSince: Instant | null;
  /** One more with each change of the days. */
  sequence: number;
  /** When the days were told. */
  since: Instant;
}

/** A task as it stands, with what is known of the due point in force. */
export interface TaskToTell {
  occurrence: string;
  /** The furthest stage whose rule speaks now. */
  stage: TaskStage | null;
  /** Day on which it is most likely reached; null = not in sight. */
  most: number | null;
  /** The other two days are worked out only where something is told. */
  days(): LikelyDays;
  leadDays: number;
  today: number;
  now: Instant;
}

export interface News {
  told: Told;
  /** The stage to be told; null where none is new. */
  stage: TaskStage | null;
  /** Whether the same due point moved. */
  moved: boolean;
}

const ORDER: readonly (TaskStage | null)[] = [null, "ahead", "due", "overdue"];

/** Less than a day is no news for a calendar. */
const LEAST_MOVE_DAYS = 1;
const MOVE_OF_TIME_LEFT = 0.1;
/** As for reminders: a forecast wanders by days from reading to reading. */
const LEAST_CORRECTION_DAYS = 7;

/** The furthest stage whose moment has come. */
export function stageReached(moments: StageMoments, now: Instant): TaskStage | null {
  const reached = (["overdue", "due", "ahead"] as const).filter((stage) => {
    const moment = moments[stage];
    return moment !== null && moment.at <= now;
  });
  return reached[0] ?? null;
}

/**
 * What is to be told now; null when nothing is new. A new due point replaces the old one without a
 * word, since the work or date that made it new was told itself. Its day counts as moved when it
 * moves by more than a tenth of the time left and at least a day, one that was certain (by the
 * calendar) when it moves by more than a day; days gone by are left alone. A stage is told once for
 * each due point, and again only where the day has since moved later by more than the lead, as with
 * the revisions of reminders.
 */
export function tell(told: Told | null, task: TaskToTell): News | null {
  const { occurrence, now } = task;
  if (told === null || told.occurrence !== occurrence) {
    const sequence = told === null ? 0 : told.sequence + 1;
    const fresh = { occurrence, stage: null, stageDay: null, stageSince: null };
    return withStage({ ...fresh, ...task.days(), sequence, since: now }, task, false);
  }
  const moved = hasMoved(told, task);
  const days = moved ? { ...task.days(), sequence: told.sequence + 1, since: now } : {};
  const kept = isCorrected(told, task) ? { stage: null, stageDay: null, stageSince: null } : {};
  const next = withStage({ ...told, ...days, ...kept }, task, moved);
  const silent = next.stage === null && !moved && next.told.stage === told.stage;
  return silent ? null : next;
}

function withStage(told: Told, { stage, most, now }: TaskToTell, moved: boolean): News {
  if (ORDER.indexOf(stage) <= ORDER.indexOf(told.stage)) return { told, stage: null, moved };
  return { told: { ...told, stage, stageDay: most, stageSince: now }, stage, moved };
}

function hasMoved({ from, most: before, to }: Told, { most, today }: TaskToTell): boolean {
  if (before === null || most === null) return before !== most;
  if (before < today && most < today) return false;
  // A day that was certain moves because somebody moved it.
  const share = from === to ? 0 : MOVE_OF_TIME_LEFT;
  const least = Math.max(LEAST_MOVE_DAYS, share * Math.abs(before - today));
  return Math.abs(most - before) > least;
}

function isCorrected({ stage, stageDay }: Told, { most, leadDays }: TaskToTell): boolean {
  if (stage === null || stageDay === null) return false;
  const later = (most ?? Number.POSITIVE_INFINITY) - stageDay;
  return later > Math.max(leadDays, LEAST_CORRECTION_DAYS);
}
