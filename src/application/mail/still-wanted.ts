import type { Assessed, AssessedTask } from "../machine/assess.ts";
import type { KnownReminder } from "../ports.ts";
import type { Stage } from "../records.ts";

const ORDER: Partial<Record<Stage, number>> = { ahead: 1, due: 2, overdue: 3 };

/**
 * Whether a reminder that is about to be sent is still wanted, by what was committed before this
 * look. The probability is not asked again: it may have dropped between the moment and the hour,
 * and a silent rider is the one who must be told.
 */
export function stillWanted(
  assessed: Assessed,
  reminder: KnownReminder,
): AssessedTask | "ask" | null {
  const { vehicle, responsible } = assessed.machine;
  if (reminder.status !== "planned" && reminder.status !== "deferred") return null;
  if (vehicle.disposedOn !== null || responsible.id !== reminder.memberId) return null;
  if (reminder.taskId === null) return responsible.reminders.askForReadings ? "ask" : null;
  const one = assessed.tasks.find(({ task }) => task.id === reminder.taskId);
  if (one?.due.state !== "point" || one.task.plan.paused) return null;
  if (one.due.point.occurrence !== reminder.occurrence) return null;
  return isOvertaken(reminder, assessed) ? null : one;
}

/** A later stage that has been planned until now or was sent says more: the earlier one is not mailed late. */
function isOvertaken(reminder: KnownReminder, { machine, now }: Assessed): boolean {
  const rank = ORDER[reminder.stage] ?? 0;
  return machine.reminders.some(
    (other) =>
      other.taskId === reminder.taskId &&
      other.occurrence === reminder.occurrence &&
      other.revision === reminder.revision &&
      (ORDER[other.stage] ?? 0) > rank &&
      (other.status === "sent" || (other.status === "planned" && other.plannedFor <= now)),
  );
}
