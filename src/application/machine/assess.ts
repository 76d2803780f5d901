import { addDays, type Instant, type PlainDate } from "../../domain/calendar/plain-date.ts";
import { dateAt } from "../../domain/calendar/zone.ts";
import { type Due, type DuePoint, duePoint } from "../../domain/due/due-point.ts";
import { type JudgedState, taskState } from "../../domain/due/task-state.ts";
import type { Crossing } from "../../domain/forecast/several.ts";
import type { LastWork, MachineFacts } from "../../domain/interval/task-plan.ts";
import { aheadThreshold } from "../../domain/reminder/thresholds.ts";
import { convertDistance } from "../../domain/units/distance.ts";
import type { KnownTask, Machine } from "../ports.ts";
import { crossingOf, likeliestLimit, type Meters } from "./crossing.ts";
import { lastWorkOf } from "./last-work.ts";
import { dayOf, meterKnown } from "./meters.ts";

/** How far ahead a task speaks: its own lead, else that of the member who looks after the machine. */
export interface LeadInForce {
  days: number;
  /** In the vehicle's meter unit. */
  distance?: number;
}

export interface AssessedTask {
  task: KnownTask;
  last: LastWork;
  due: Due;
  judged: JudgedState;
  lead: LeadInForce;
  /** When the due point will be reached; null where nothing tells. */
  crossing: Crossing | null;
  /** P(reached within the lead); null where nothing tells. */
  withinLead: number | null;
}

/** A machine as it stands at one moment: everything that its readings, work and calendar tell. */
export interface Assessed {
  machine: Machine;
  now: Instant;
  /** The zone of the member who looks after the machine: its plain dates are dates there. */
  zone: string;
  today: PlainDate;
  meters: Meters;
  laidUp: boolean;
  tasks: AssessedTask[];
}

/** The account's time: a sandbox has its own. */
export function timeOf(machine: Pick<Machine, "account">, clock: Instant): Instant {
  return machine.account.clock ?? clock;
}

export function assess(machine: Machine, now: Instant): Assessed {
  const zone = machine.responsible.timeZone;
  const today = dateAt(now, zone);
  const meters: Meters = {
    distance: meterKnown(machine, "distance", now),
    hours: meterKnown(machine, "hours", now),
    zone,
  };
  const laidUp = machine.layUps.some(
    ({ from, to }) => from <= today && (to === null || today < to),
  );
  const frame = { machine, now, zone, today, meters, laidUp };
  return { ...frame, tasks: machine.tasks.map((task) => assessTask(task, frame)) };
}

type Frame = Omit<Assessed, "tasks">;

export function machineFacts({
  vehicle,
  firstTotals,
}: Pick<Machine, "firstTotals"> & {
  vehicle: Pick<Machine["vehicle"], "meterUnit" | "inServiceOn">;
}): MachineFacts {
  return {
    meterUnit: vehicle.meterUnit,
    ...(vehicle.inServiceOn !== null && { inServiceOn: vehicle.inServiceOn }),
    ...(firstTotals.distance !== null && { distanceAtFirstReading: firstTotals.distance }),
    ...(firstTotals.hours !== null && { hoursAtFirstReading: firstTotals.hours }),
  };
}

function assessTask(task: KnownTask, frame: Frame): AssessedTask {
  const last = lastWorkOf(task);
  const due = duePoint(task.plan, last, machineFacts(frame.machine), frame.today);
  const lead = leadOf(task, frame.machine);
  if (due.state !== "point") {
    const judged = taskState(due, task.plan, { ...noEvidence(frame), standsStill: frame.laidUp });
    return { task, last, due, judged, lead, crossing: null, withinLead: null };
  }
  const crossing = crossingOf(due.point, due.point.whichever, frame.meters);
  const withinLead = crossing === null ? null : reachedWithinLead(due.point, crossing, lead, frame);
  const judged = taskState(due, task.plan, {
    ...noEvidence(frame),
    ...evidenceOf(due.point, crossing, frame),
    withinLead,
  });
  return { task, last, due, judged, lead, crossing, withinLead };
}

/** The task's own lead stands before the member's; each measure of it by itself. */
export function leadOf(task: KnownTask, { responsible, vehicle }: Machine): LeadInForce {
  const { leadDays, leadDistance } = responsible.reminders;
  const members =
    leadDistance === null
      ? undefined
      : convertDistance(leadDistance, responsible.unit, vehicle.meterUnit);
  const distance = task.lead?.distance ?? members;
  return { days: task.lead?.days ?? leadDays, ...(distance !== undefined && { distance }) };
}

function reachedWithinLead(
  point: DuePoint,
  crossing: Crossing,
  lead: LeadInForce,
  { now, meters }: Frame,
): number {
  const byDays = crossing.reachedBy(dayOf(now) + lead.days);
  const { law, toLaw } = meters.distance;
  if (lead.distance === undefined || point.distance === undefined || !law) return byDays;
  return Math.max(byDays, law.leftAtMost(toLaw(point.distance), toLaw(lead.distance)));
}

function evidenceOf(point: DuePoint, crossing: Crossing | null, { now, meters }: Frame) {
  const past = crossingOf(lateEdge(point), point.whichever, meters);
  const likeliest = likeliestLimit(point, meters);
  return {
    reached: crossing?.reachedBy(dayOf(now)) ?? 0,
    past: past?.reachedBy(dayOf(now)) ?? 0,
    ...(likeliest && { likeliest }),
  };
}

/** From when on the permitted window lies behind: its last day still counts. */
export function lateEdge({ window: { late } }: DuePoint): DuePoint["window"]["late"] {
  return { ...late, ...(late.date !== undefined && { date: addDays(late.date, 1) }) };
}

function noEvidence({ today, meters, laidUp }: Frame) {
  const [distance, hours] = [meters.distance.latest?.total, meters.hours.latest?.total];
  return {
    today,
    total: { ...(distance !== undefined && { distance }), ...(hours !== undefined && { hours }) },
    reached: 0,
    past: 0,
    withinLead: null,
    threshold: aheadThreshold(),
    standsStill: laidUp,
  };
}
