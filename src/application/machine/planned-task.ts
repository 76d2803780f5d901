import type { Outlook } from "../../domain/reminder/outlook.ts";
import type { TaskToPlan } from "../../domain/reminder/plan-task.ts";
import type { StageMoments } from "../../domain/reminder/stages.ts";
import type { AssessedTask } from "./assess.ts";

/** A task with what its reminders follow from, and when each of its stages speaks. */
export interface PlannedTask {
  task: AssessedTask;
  toPlan: TaskToPlan;
  outlook: Outlook | null;
  /** Null where nothing may speak. */
  moments: StageMoments | null;
}
