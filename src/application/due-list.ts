import { addDays, type PlainDate } from "../domain/calendar/plain-date.ts";
import { type Caller, seesVehicle } from "./caller.ts";
import type { Deps } from "./deps.ts";
import { type Assessed, type AssessedTask, assess, timeOf } from "./machine/assess.ts";
import { startDay } from "./machine/crossing.ts";
import type { Transaction } from "./ports.ts";

export interface DueWindow {
  from: PlainDate | null;
  to: PlainDate | null;
  withinDays: number;
  vehicleId: string | null;
  state: string | null;
}

export interface DueItem {
  assessed: Assessed;
  task: AssessedTask;
  /** P(due by the end of the window). */
  probability: number;
  day: number;
}

export interface DueAnswer {
  from: PlainDate;
  to: PlainDate;
  items: DueItem[];
}

/** Machines that are read at once: each is a few kB of JSON. */
const CHUNK = 100;
/** A task less likely than this to fall due in the window is left out. */
const WORTH_TELLING = 0.05;

/**
 * What falls due in a window over all machines that the caller sees, the likeliest first to come
 * first. What is overdue or due already is always in it; what nothing is known of never is.
 */
export async function dueList(
  tx: Transaction,
  caller: Caller,
  window: DueWindow,
  limit: number,
  today: PlainDate,
  deps: Deps,
): Promise<DueAnswer> {
  const from = window.from ?? today;
  const to = window.to ?? addDays(from, window.withinDays);
  const ids = window.vehicleId === null ? undefined : [window.vehicleId];
  const items: DueItem[] = [];
  for (let after: string | null = null; ; ) {
    const machines = await tx.machine.loadMany({ ids, after, limit: CHUNK });
    for (const machine of machines) {
      if (!seesVehicle(caller, machine.vehicle)) continue;
      const assessed = assess(machine, timeOf(machine, deps.clock()));
      items.push(...itemsOf(assessed, from, to, window.state));
    }
    after = machines.at(-1)?.vehicle.id ?? null;
    if (machines.length < CHUNK) break;
  }
  items.sort((a, b) => a.day - b.day);
  return { from, to, items: items.slice(0, limit) };
}

function itemsOf(
  assessed: Assessed,
  from: PlainDate,
  to: PlainDate,
  state: string | null,
): DueItem[] {
  const end = startDay(addDays(to, 1), assessed.zone);
  const start = startDay(from, assessed.zone);
  return assessed.tasks.flatMap((task) => {
    if (state !== null && task.judged.state !== state) return [];
    if (!task.crossing || task.judged.state === "done" || task.judged.state === "paused") return [];
    const probability = task.crossing.reachedBy(end);
    const day = task.crossing.dayReached(0.5) ?? Number.POSITIVE_INFINITY;
    const already = task.judged.state === "due" || task.judged.state === "overdue";
    const inside = probability >= WORTH_TELLING && day >= start;
    return already || inside ? [{ assessed, task, probability, day }] : [];
  });
}
