import type { Job } from "../domain/workload/workload.ts";

/** The vehicles whose tasks are asked for; absent bounds: all of the account. */
export interface OfVehicles {
  ids?: readonly string[] | undefined;
  responsibleMemberId?: string | undefined;
  group?: string | undefined;
}

/** A task as followers were told of it, found without working out any forecast. */
export interface ToldTask {
  taskId: string;
  vehicleId: string;
  /** The first day that is likely (P10), by which these are in order; days since 1970-01-01. */
  from: number;
}

/** The tasks of many machines by the days that followers were told, which lie in the rows. */
export interface ToldTasks {
  /** Those likely to come due by that day, the earliest first, on (from, task). */
  until(
    day: number,
    vehicles: OfVehicles,
    page: { after: Pick<ToldTask, "from" | "taskId"> | null; limit: number },
  ): Promise<ToldTask[]>;
  /** The same, all of them, with what the load of work follows from. */
  jobsUntil(day: number, vehicles: OfVehicles): Promise<Job[]>;
}
