import type { z } from "zod";
import type { IdMaker } from "../application/ports.ts";
import type { Schedule, ScheduleLine } from "../application/records.ts";
import type { ScheduleInput } from "../application/schedules/schedules.ts";
import { Refusal } from "../domain/failure/failure.ts";
import type { scheduleBody } from "./schemas/schedule.ts";
import { taskInputOf } from "./task-input.ts";

type Body = z.output<typeof scheduleBody>;
type LineBody = Body["tasks"][number];

/**
 * A schedule's body as the verbs take it. Lines and their measuring points keep their ids over a
 * change, by id or else by name, so that tasks and findings of years belong together.
 * @throws Refusal invalid for points whose limits contradict themselves
 */
export function scheduleInputOf(
  { tasks, ...fields }: Body,
  before: Schedule | null,
  ids: IdMaker,
): ScheduleInput {
  const lines = before?.lines ?? [];
  const known = tasks.map(({ id }) => lines.find((line) => line.id === id));
  const free = lines.filter((line) => !known.includes(line));
  return {
    ...fields,
    lines: tasks.map((task, index) => {
      const line = known[index] ?? free.find(({ title }) => title === task.title);
      return lineOf(task, line ?? null, `#/tasks/${index}`, ids);
    }),
  };
}

function lineOf(
  { id: _id, ...body }: LineBody,
  before: ScheduleLine | null,
  pointer: string,
  ids: IdMaker,
): ScheduleLine {
  const own = { lastWork: "unknown", paused: false, severe: null } as const;
  const {
    statedWork: _work,
    plan,
    ...fields
  } = below(pointer, () => taskInputOf({ ...body, ...own }, before, ids));
  const { paused: _paused, severe: _severe, ...shared } = plan;
  return { ...fields, id: before?.id ?? ids(), plan: shared };
}

/** Faults of a part, told where they stand in the whole. */
function below<T>(pointer: string, work: () => T): T {
  try {
    return work();
  } catch (error) {
    if (!(error instanceof Refusal) || error.failure.kind !== "invalid") throw error;
    const errors = error.failure.errors.map((fault) =>
      "pointer" in fault ? { ...fault, pointer: `${pointer}${fault.pointer.slice(1)}` } : fault,
    );
    throw new Refusal({ kind: "invalid", errors });
  }
}
