import type { Collection, ScheduledTasks, ScheduleFilter } from "../../application/ports.ts";
import type { Schedule } from "../../application/records.ts";
import type { TaskPlan } from "../../domain/interval/task-plan.ts";
import type { Prisma } from "../generated/client.ts";
import { encodeFields } from "../row.ts";
import { sqlOfPrisma } from "../sql.ts";
import { collectionOn, type Delegate } from "./collection.ts";
import { given, since } from "./filters.ts";
import { TASK_JSON, taskColumns } from "./tasks.ts";

type Tx = Prisma.TransactionClient;

export function schedules(prisma: Tx, accountId: string): Collection<Schedule, ScheduleFilter> {
  return collectionOn<Schedule, ScheduleFilter>(
    () => prisma.schedule as unknown as Delegate,
    accountId,
    {
      order: "createdAt",
      indexed: ["externalId"],
      where: ({ externalId, updatedAfter }) =>
        given({ externalId, updatedAt: since(updatedAfter) }),
    },
  );
}

export function scheduledTasks(prisma: Tx, accountId: string): ScheduledTasks {
  const sql = sqlOfPrisma(prisma);
  const nextVersion = { version: { increment: 1 } };
  return {
    async lockSchedule(scheduleId) {
      await sql.query("lock-schedule", LOCK_SCHEDULE, [scheduleId]);
    },
    async lock(vehicleIds) {
      await sql.query("lock-vehicles", LOCK, [vehicleIds]);
    },
    tasksOn: (vehicleIds) =>
      prisma.task.findMany({
        where: { accountId, vehicleId: { in: [...vehicleIds] } },
        select: { id: true, vehicleId: true, title: true, scheduleId: true, scheduleLine: true },
        orderBy: [{ createdAt: "asc" }, { id: "asc" }],
      }),
    async machinesOf(scheduleId) {
      const found = await prisma.vehicle.findMany({
        where: { accountId, scheduleId },
        select: { id: true },
        orderBy: { id: "asc" },
      });
      return found.map(({ id }) => id);
    },
    async add(tasks) {
      const rows = tasks.map((task) =>
        encodeFields({ ...taskColumns(task), accountId }, TASK_JSON),
      );
      await prisma.task.createMany({ data: rows as never });
    },
    async change(taskIds, { plan, ...line }, at) {
      const {
        paused: _paused,
        severe: _severe,
        ...columns
      } = taskColumns({
        ...line,
        plan: plan as TaskPlan,
        updatedAt: at,
      });
      await prisma.task.updateMany({
        where: { accountId, id: { in: [...taskIds] } },
        data: { ...encodeFields(columns, TASK_JSON), ...nextVersion },
      });
    },
    async remove(taskIds) {
      await prisma.task.deleteMany({ where: { accountId, id: { in: [...taskIds] } } });
    },
    async stand(vehicleIds, scheduleId, at) {
      const now = new Date(at);
      await prisma.vehicle.updateMany({
        where: { accountId, id: { in: [...vehicleIds] } },
        data: { scheduleId, replanAt: now, updatedAt: now, ...nextVersion },
      });
    },
    async release(vehicleId, at) {
      await prisma.task.updateMany({
        where: { accountId, vehicleId, scheduleId: { not: null } },
        data: { scheduleId: null, scheduleLine: null, updatedAt: new Date(at), ...nextVersion },
      });
    },
  };
}

const LOCK_SCHEDULE = `select id from schedule
  where account_id = current_account() and id = $1::uuid for no key update`;

/** In the order of their ids, so that two who lock the same vehicles wait in turn. */
const LOCK = `select id from vehicle
  where account_id = current_account() and id = any($1::uuid[]) order by id for no key update`;
