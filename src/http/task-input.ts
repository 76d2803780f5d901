import type { z } from "zod";
import type { IdMaker } from "../application/ports.ts";
import type { StoredPoint, Task } from "../application/records.ts";
import type { TaskInput } from "../application/tasks.ts";
import { Refusal } from "../domain/failure/failure.ts";
import { pointFault } from "../domain/finding/measurement-fault.ts";
import type { MeasuringPoint } from "../domain/finding/point.ts";
import type { TaskPlan } from "../domain/interval/task-plan.ts";
import { wholePoint } from "./schemas/finding.ts";
import type { taskBody } from "./schemas/task.ts";

type Body = z.output<typeof taskBody>;

/**
 * A task's body as the verbs take it. Points keep their ids over a change, by id or else by name, so
 * that findings of years belong together.
 * @throws Refusal invalid for points whose limits contradict themselves
 */
export function taskInputOf(
  body: Body,
  before: Pick<Task, "points"> | null,
  ids: IdMaker,
): TaskInput {
  const { kind, first, every, on, whichever, repeatFrom, countsFrom, severe, early, late, paused } =
    body;
  const plan: TaskPlan = {
    ...{ kind, whichever, repeatFrom, countsFrom, paused },
    ...(first && { first }),
    ...(every && { every }),
    ...(on !== null && { on }),
    ...(severe && { severe }),
    ...(early && { early }),
    ...(late && { late }),
  } as TaskPlan;
  const { title, lead, minutes, access, steps, tools, parts, fluids, cautions, closingChecks } =
    body;
  return {
    ...{ title, plan, minutes, access, steps, tools, parts, fluids, cautions, closingChecks },
    lead: lead as TaskInput["lead"],
    points: pointsOf(body, before?.points ?? [], ids),
    statedWork: body.lastWork,
  };
}

function pointsOf(
  { points: given }: Body,
  before: readonly StoredPoint[],
  ids: IdMaker,
): StoredPoint[] {
  const points = given.map(wholePoint);
  const errors = points.flatMap((point, index) => {
    const fault = pointFault(point as MeasuringPoint);
    if (!fault) return [];
    return [{ pointer: `#/points/${index}${fault.pointer}`, detail: fault.detail }];
  });
  if (errors.length > 0) throw new Refusal({ kind: "invalid", errors });
  return points.map(({ id, ...point }) => {
    const known =
      before.find((one) => one.id === id) ?? before.find((one) => one.name === point.name);
    return { ...(point as MeasuringPoint), id: known?.id ?? ids() };
  });
}
