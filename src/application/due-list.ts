import { addDays, MS_PER_DAY, type PlainDate } from "../domain/calendar/plain-date.ts";
import { type Caller, visibleVehicles } from "./caller.ts";
import type { Deps } from "./deps.ts";
import { type Assessed, type AssessedTask, assess, timeOf } from "./machine/assess.ts";
import { startDay } from "./machine/crossing.ts";
import type { PageOf, PageRequest, Transaction } from "./ports.ts";
import type { OfVehicles } from "./told-tasks.ts";

export interface DueWindow {
  from: PlainDate;
  to: PlainDate;
  /** The zone in which the window's dates are told. */
  zone: string;
  vehicleId: string | null;
  group: string | null;
  state: string | null;
}

export interface DueItem {
  assessed: Assessed;
  task: AssessedTask;
  /** P(due by the end of the window). */
  probability: number;
}

/** A task less likely than this to fall due in the window is left out. */
const WORTH_TELLING = 0.05;

/** A millisecond of a day: what falls due as the window ends lies beyond it. */
const MOMENT = 1 / MS_PER_DAY;

/**
 * Followers are told anew when a day moved by more than a tenth of the time left, and what comes due
 * by the window's end with a chance of 5 % lies a little before the first likely day (10 %): so much
 * beyond the window tasks are looked at, as a share of the window and in days.
 */
const BEYOND = { share: 0.5, days: 30 };

/**
 * What falls due in a window over all machines that the caller sees, a page of it, in the order of
 * the first likely day that followers were told. What is overdue or due already is always in it; what
 * nothing is known of never is. Each page reads and assesses only the machines that are on it.
 */
export async function dueList(
  tx: Transaction,
  caller: Caller,
  window: DueWindow,
  today: PlainDate,
  page: PageRequest,
  deps: Deps,
): Promise<PageOf<DueItem>> {
  const [start, now] = [startDay(window.from, window.zone), startDay(today, window.zone)];
  const end = startDay(addDays(window.to, 1), window.zone);
  const lookedAt = end + BEYOND.share * Math.max(0, end - now) + BEYOND.days;
  const vehicles = { ...seenBy(caller, window.vehicleId), group: window.group ?? undefined };
  const after = page.after && { from: Number(page.after.key), taskId: page.after.id };
  const wanted = { after, limit: page.limit + 1 };
  const told = await tx.told.until(lookedAt, vehicles, wanted);
  const onPage = told.slice(0, page.limit);
  const assessed = await assessAll(tx, [...new Set(onPage.map((one) => one.vehicleId))], deps);
  const items = onPage.flatMap(({ vehicleId, taskId }) => {
    const machine = assessed.get(vehicleId);
    const task = machine?.tasks.find((one) => one.task.id === taskId);
    return machine && task ? itemOf(machine, task, start, end, window.state) : [];
  });
  const last = onPage.at(-1);
  const more = told.length > page.limit && last !== undefined;
  return { items, next: more ? { key: last.from, id: last.taskId } : null };
}

/** The vehicles that the caller sees, or the one of them that is asked for. */
export function seenBy(caller: Caller, vehicleId: string | null): OfVehicles {
  const { ids, responsibleMemberId } = visibleVehicles(caller);
  if (vehicleId === null) return { ids, responsibleMemberId };
  const seen = ids === undefined || ids.includes(vehicleId);
  return { ids: seen ? [vehicleId] : [], responsibleMemberId };
}

async function assessAll(
  tx: Transaction,
  ids: string[],
  deps: Deps,
): Promise<Map<string, Assessed>> {
  if (ids.length === 0) return new Map();
  const machines = await tx.machine.loadMany({ ids });
  return new Map(
    machines.map((machine) => [machine.vehicle.id, assess(machine, timeOf(machine, deps.clock()))]),
  );
}

function itemOf(
  assessed: Assessed,
  task: AssessedTask,
  start: number,
  end: number,
  state: string | null,
): DueItem[] {
  const { judged, crossing } = task;
  if (state !== null && judged.state !== state) return [];
  if (!crossing || judged.state === "done" || judged.state === "paused") return [];
  const probability = crossing.reachedBy(end - MOMENT);
  const day = crossing.dayReached(0.5) ?? Number.POSITIVE_INFINITY;
  const already = judged.state === "due" || judged.state === "overdue";
  const inside = probability >= WORTH_TELLING && day >= start;
  return already || inside ? [{ assessed, task, probability }] : [];
}
