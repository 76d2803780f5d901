import { type Instant, MS_PER_DAY, type PlainDate } from "../domain/calendar/plain-date.ts";
import { dateAt } from "../domain/calendar/zone.ts";
import { type DuePoint, duePoint } from "../domain/due/due-point.ts";
import type { DistanceUnit } from "../domain/units/distance.ts";
import type { FollowedCalendar, FollowedMachine, FollowedTask } from "./followed-calendar.ts";
import { figuresShown } from "./machine/as-shown.ts";
import { machineFacts } from "./machine/assess.ts";
import { lastWorkOf } from "./machine/last-work.ts";
import type { DueTold, DueView, LikelyDates } from "./views.ts";

/** A calendar as its subscribers are shown it; texts in one language, dates in each machine's zone. */
export interface CalendarView {
  name: string;
  locale: string;
  /** Where the reader lives. */
  zone: string;
  entries: readonly CalendarEntryView[];
}

/** One task on the day on which it most likely falls due, as it was last told. */
export interface CalendarEntryView {
  taskId: string;
  title: string;
  machine: string;
  meterUnit: DistanceUnit;
  on: PlainDate;
  /** One more with each change of the day. */
  sequence: number;
  changedAt: Instant;
  stage: DueTold["stage"];
  /** Absent where the calendar alone says the day. */
  forecast?: { told: PlainDate; likely: LikelyDates };
  /** The limits of the due point that was told; none where it is not to be had any more. */
  due: DueView;
  whichever: "first" | "last";
  cautions: readonly string[];
}

/**
 * A calendar from what followers were last told, without any forecast: between two tellings it stays
 * the same, whenever it is asked for.
 */
export function calendarView({ machines, ...feed }: FollowedCalendar): CalendarView {
  const entries = machines.flatMap((machine) =>
    machine.tasks.flatMap((task) => entryView(machine, task) ?? []),
  );
  return { ...feed, entries };
}

function entryView(machine: FollowedMachine, task: FollowedTask): CalendarEntryView | null {
  const { told } = task;
  const on = (day: number | null) => (day === null ? null : dateAt(day * MS_PER_DAY, machine.zone));
  const most = on(told.most);
  if (most === null) return null;
  const toldOn = dateAt(told.since, machine.zone);
  const point = pointTold(machine, task, toldOn);
  const date = point && calendarAlone(point);
  const { vehicle } = machine;
  return {
    taskId: task.id,
    title: task.title,
    machine: vehicle.name,
    meterUnit: vehicle.meterUnit,
    on: date ?? most,
    sequence: told.sequence,
    changedAt: Math.max(told.since, told.stageSince ?? 0, task.updatedAt, vehicle.updatedAt),
    stage: told.stage ?? "ahead",
    ...(!date && {
      forecast: { told: toldOn, likely: { from: on(told.from), most, to: on(told.to) } },
    }),
    due: point ? figuresShown(machine, point) : {},
    whichever: point?.whichever ?? "first",
    cautions: task.cautions,
  };
}

/** The due point that was told, by what is stored; null where that is another one by now. */
function pointTold(
  machine: FollowedMachine,
  task: FollowedTask,
  toldOn: PlainDate,
): DuePoint | null {
  const due = duePoint(task.plan, lastWorkOf(task), machineFacts(machine), toldOn);
  return due.state === "point" && due.point.occurrence === task.told.occurrence ? due.point : null;
}

function calendarAlone({ distance, hours, date }: DuePoint): PlainDate | undefined {
  return distance === undefined && hours === undefined ? date : undefined;
}
