import type { Schedule, ScheduleLine, Task } from "../records.ts";

/** As much of a task on a machine as tells whether it stands there by a schedule. */
export type StandingTask = Pick<Task, "id" | "vehicleId" | "title" | "scheduleId" | "scheduleLine">;

/** What putting a schedule on one machine does to the machine's tasks. */
export interface LineChanges {
  /** Lines that the machine has no task for. */
  added: ScheduleLine[];
  /** Tasks that take over what their line says. */
  kept: { task: StandingTask; line: ScheduleLine }[];
  /** Tasks by a schedule that no line speaks for any more. */
  removed: StandingTask[];
}

/**
 * Compares a schedule with the tasks of one machine. A line claims the task that stands there by it,
 * else one of the same title, whether the machine's own or another schedule's: what was logged for it
 * then counts on. The machine's own tasks that no line claims stay as they are.
 */
export function lineChanges(
  { lines }: Pick<Schedule, "lines">,
  tasks: readonly StandingTask[],
): LineChanges {
  const free = new Set(tasks);
  const claim = (fits: (task: StandingTask) => boolean): StandingTask | undefined => {
    const found = [...free].find(fits);
    if (found) free.delete(found);
    return found;
  };
  const byLine = lines.map((line) => claim(({ scheduleLine }) => scheduleLine === line.id));
  const claimed = lines.map((line, index) => {
    const task = byLine[index] ?? claim(({ title }) => sameTitle(title, line.title));
    return { line, task };
  });
  return {
    added: claimed.flatMap(({ line, task }) => (task ? [] : [line])),
    kept: claimed.flatMap(({ line, task }) => (task ? [{ line, task }] : [])),
    removed: [...free].filter(({ scheduleId }) => scheduleId !== null),
  };
}

function sameTitle(one: string, other: string): boolean {
  return one.trim().toLowerCase() === other.trim().toLowerCase();
}
