import type { Collection, OfVehicle } from "../../application/ports.ts";
import type { WorkedTask, WorkRecord } from "../../application/records.ts";
import type { Prisma } from "../generated/client.ts";
import { collectionOn, type Delegate } from "./collection.ts";
import { between, given, since } from "./filters.ts";

export function work(
  prisma: Prisma.TransactionClient,
  accountId: string,
): Collection<WorkRecord, OfVehicle> {
  return collectionOn<WorkRecord, OfVehicle>(
    () => prisma.workRecord as unknown as Delegate,
    accountId,
    {
      order: "doneAt",
      indexed: ["vehicleId", "externalId"],
      json: ["reading", "labour", "cost"],
      include: { tasks: { orderBy: { taskId: "asc" } } },
      where: ({ vehicleId, from, to, status, externalId, updatedAfter }) =>
        given({
          vehicleId,
          status,
          externalId,
          doneAt: between(from, to),
          updatedAt: since(updatedAfter),
        }),
      read: (row) =>
        ({ ...row, tasks: (row.tasks as WorkedTask[]).map(worked) }) as unknown as WorkRecord,
      write: ({ tasks: _written, ...fields }) => fields,
    },
  );
}

/** Which tasks a record covers, in place of those that it covered until now. */
export async function setWorkedTasks(
  prisma: Prisma.TransactionClient,
  accountId: string,
  workRecordId: string,
  tasks: readonly WorkedTask[],
): Promise<void> {
  await prisma.workTask.deleteMany({ where: { accountId, workRecordId } });
  await prisma.workTask.createMany({
    data: tasks.map((task) => ({ ...task, accountId, workRecordId })),
  });
}

function worked({ taskId, title, occurrence, inWindow }: WorkedTask): WorkedTask {
  return { taskId, title, occurrence, inWindow };
}
