import type { Measurement, MeasuringPoint } from "../../domain/finding/point.ts";
import type { DemoMachine } from "./machines.ts";
import type { ReadDay } from "./ridden.ts";
import type { DemoTask } from "./tasks.ts";

/** A visit to the workshop at one of the readings. */
export interface DemoVisit {
  at: ReadDay;
  tasks: DemoTask[];
}

/** Work is done when its interval is nearly run, together with what falls due soon after. */
const NEARLY = 0.97;
const SOON = 0.85;
const DAYS_PER_MONTH = 30.44;

/** The visits of two years, by the schedule; a task that is forgotten was done only at first. */
export function visitsOf(machine: DemoMachine, days: readonly ReadDay[]): DemoVisit[] {
  const last = new Map<
    DemoTask,
    { total: number; hours: number; daysAgo: number; first: boolean }
  >();
  for (const task of machine.tasks) {
    last.set(task, { total: 0, hours: 0, daysAgo: machine.newFor, first: true });
  }
  const visits: DemoVisit[] = [];
  for (const at of days) {
    const run = (task: DemoTask) => shareRun(machine, task, last.get(task), at);
    const due = machine.tasks.filter(
      (task) => run(task) >= NEARLY && !isForgotten(machine, task, at),
    );
    if (due.length === 0) continue;
    const also = machine.tasks.filter(
      (task) => !due.includes(task) && run(task) >= SOON && !isForgotten(machine, task, at),
    );
    const tasks = [...due, ...also];
    for (const task of tasks) last.set(task, { ...at, first: false });
    visits.push({ at, tasks });
  }
  return visits;
}

/** How much of the interval has run, by the limit that has run furthest. */
function shareRun(
  machine: DemoMachine,
  { plan }: DemoTask,
  last: { total: number; hours: number; daysAgo: number; first: boolean } | undefined,
  at: ReadDay,
): number {
  const limits = last?.first && plan.first ? plan.first : plan.every;
  if (!last || !limits || plan.kind === "fixedDate") return 0;
  const pair = limits.distance;
  const printed = typeof pair === "number" ? pair : pair?.[machine.meterUnit];
  const factor = plan.severe?.factor ?? 1;
  return Math.max(
    printed === undefined ? 0 : (at.total - last.total) / (printed * factor),
    limits.hours === undefined ? 0 : (at.hours - last.hours) / limits.hours,
    limits.months === undefined
      ? 0
      : (last.daysAgo - at.daysAgo) / (limits.months * DAYS_PER_MONTH),
  );
}

function isForgotten({ forgets, newFor }: DemoMachine, task: DemoTask, at: ReadDay): boolean {
  return task.title === forgets && at.daysAgo < newFor * 0.6;
}

/** What was found at a point that wears slowly towards its limit. */
export function foundAt(point: MeasuringPoint, random: () => number): Measurement {
  if (point.method === "look") return { look: random() < 0.9 ? "sound" : "watch" };
  const { lower = 0, upper = lower * 3, leaves = [] } = point;
  if (point.method === "value") {
    const share = 0.35 + 0.5 * random();
    return { value: Math.round((lower + (upper - lower) * share) * 10) / 10 };
  }
  const inside = leaves.filter((leaf) => leaf >= lower && leaf < upper);
  const goes = inside[Math.floor(random() * inside.length)] ?? lower;
  const refuses = leaves.find((leaf) => leaf > goes && leaf <= upper) ?? upper;
  return { goes, refuses };
}
