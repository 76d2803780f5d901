import type { Instant, PlainDate } from "../calendar/plain-date.ts";
import type { SpokenBy, Stage } from "./stages.ts";

/** What makes a reminder one of its kind; `taskId` is null for `ask`, which belongs to a vehicle. */
export interface ReminderIdentity {
  memberId: string;
  vehicleId: string;
  taskId: string | null;
  /** The due point that it speaks of (`start`, `work:<id>`, `mark:6000`, `date:2027-05-01`, `ask:<n>`). */
  occurrence: string;
  /** 0, and one more each time the due point moved later after it had been spoken of. */
  revision: number;
  stage: Stage;
}

/** Why a reminder is planned for its moment. */
export interface Why {
  by: SpokenBy | "silence" | "noReading" | "layUp";
  /** There where the member's own deferral, not the rule, sets the moment. */
  deferred?: true;
}

/** A reminder that the rules ask for. */
export interface Wanted extends ReminderIdentity {
  plannedFor: Instant;
  why: Why;
}

/** Until when a member wants to hear nothing of an occurrence: a date, a total distance, or the first of both. */
export interface Deferral {
  on?: PlainDate | undefined;
  distance?: number | undefined;
}

/** A reminder as it is stored. */
export interface Existing extends ReminderIdentity {
  id: string;
  plannedFor: Instant;
  status: "planned" | "sent" | "cancelled" | "deferred" | "failed";
  deferredUntil?: Deferral | undefined;
  sentAt?: Instant | undefined;
  /** Day (since 1970-01-01) on which the task was most likely due when it was sent. */
  dueAtSending?: number | undefined;
  /** Who cancelled it: a person's word is final, the plan may want it again. */
  cancelledBy?: "person" | "plan" | undefined;
}

/** The text on which a reminder is unique; never null, also where there is no task. */
export function reminderKey(identity: ReminderIdentity): string {
  const { memberId, vehicleId, taskId, stage, revision, occurrence } = identity;
  const subject = taskId === null ? `vehicle:${vehicleId}` : `task:${taskId}`;
  return [memberId, subject, stage, revision, occurrence].join("/");
}

/** Whether it may still be sent, so that a new plan may move or cancel it. */
export function isOpen(reminder: Existing): boolean {
  return reminder.status === "planned" || reminder.status === "deferred";
}

export function isSilenced(reminder: Existing): boolean {
  return reminder.status === "cancelled" && reminder.cancelledBy === "person";
}
