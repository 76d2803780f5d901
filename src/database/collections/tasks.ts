import type { Collection, OfVehicle } from "../../application/ports.ts";
import type { Task } from "../../application/records.ts";
import type { TaskPlan } from "../../domain/interval/task-plan.ts";
import type { Prisma } from "../generated/client.ts";
import { collectionOn, type Delegate } from "./collection.ts";
import { given, since } from "./filters.ts";

type Row = Record<string, unknown>;

/** The columns in which an absent value is SQL's null. */
export const TASK_JSON = ["first", "every", "severe", "early", "late", "lead"];

const PLAN_FIELDS = [
  "kind",
  "first",
  "every",
  "on",
  "whichever",
  "repeatFrom",
  "countsFrom",
  "severe",
  "early",
  "late",
  "paused",
] as const satisfies readonly (keyof TaskPlan)[];

export function tasks(
  prisma: Prisma.TransactionClient,
  accountId: string,
): Collection<Task, OfVehicle> {
  return collectionOn<Task, OfVehicle>(() => prisma.task as unknown as Delegate, accountId, {
    order: "createdAt",
    indexed: ["vehicleId"],
    json: TASK_JSON,
    where: ({ vehicleId, updatedAfter }) => given({ vehicleId, updatedAt: since(updatedAfter) }),
    // What followers were told is between the planner and them.
    read: ({ told: _internal, ...row }) => taskOfRow(row),
    write: taskColumns,
  });
}

/** A task from a decoded row, in which what the plan does not say is null. */
export function taskOfRow(row: Row): Task {
  const plan: Row = {};
  const rest: Row = { ...row };
  for (const field of PLAN_FIELDS) {
    if (rest[field] !== null && rest[field] !== undefined) plan[field] = rest[field];
    delete rest[field];
  }
  return { ...rest, plan } as unknown as Task;
}

/** A task's fields by column: what its plan does not say is null. */
export function taskColumns({ plan, ...fields }: Partial<Task>): Row {
  if (!plan) return fields;
  return {
    ...fields,
    ...Object.fromEntries(PLAN_FIELDS.map((field) => [field, plan[field] ?? null])),
  };
}
