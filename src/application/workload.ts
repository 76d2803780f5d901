import { addDays, isoWeekday, type PlainDate } from "../domain/calendar/plain-date.ts";
import { type WeekLoad, type Workload, workload } from "../domain/workload/workload.ts";
import type { Caller } from "./caller.ts";
import { seenBy } from "./due-list.ts";
import { startDay } from "./machine/crossing.ts";
import type { Transaction } from "./ports.ts";

export interface WorkloadAsked {
  weeks: number;
  vehicleId: string | null;
  group: string | null;
}

/** Weeks begin on Monday (ISO 8601); the first is what is left of this one. */
export interface WeekOfWork extends WeekLoad {
  from: PlainDate;
  /** Its last day. */
  to: PlainDate;
}

/**
 * The work to expect week by week over all machines that the caller sees, by the days that followers
 * were last told of each task: no forecast is worked out anew, so that a fleet of thousands costs a
 * statement.
 */
export async function expectedWork(
  tx: Transaction,
  caller: Caller,
  { weeks, vehicleId, group }: WorkloadAsked,
  today: PlainDate,
  zone: string,
): Promise<Pick<Workload, "waiting"> & { weeks: WeekOfWork[] }> {
  const monday = addDays(today, 1 - isoWeekday(today));
  const starts = [today, ...Array.from({ length: weeks }, (_, n) => addDays(monday, 7 * (n + 1)))];
  const edges = starts.map((date) => startDay(date, zone));
  const vehicles = { ...seenBy(caller, vehicleId), group: group ?? undefined };
  // A law reaches down below its first likely day.
  const [begin = 0, end = 0] = [edges[0], edges.at(-1)];
  const jobs = await tx.told.jobsUntil(end + (end - begin), vehicles);
  const load = workload(jobs, edges);
  return {
    waiting: load.waiting,
    weeks: load.weeks.map((week, index) => ({
      from: starts[index] ?? today,
      to: addDays(starts[index + 1] ?? today, -1),
      ...week,
    })),
  };
}
