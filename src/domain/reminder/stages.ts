import { addDays, type Instant, MS_PER_DAY, type PlainDate } from "../calendar/plain-date.ts";
import { firstOfHumped, firstOfRising } from "./first-day.ts";
import type { Outlook } from "./outlook.ts";
import { startOf } from "./sending-hour.ts";
import type { Thresholds } from "./thresholds.ts";

/** The stages at which a task's reminder speaks, in order; `ask` asks for a reading. */
export type Stage = "ahead" | "due" | "overdue" | "ask";

export type TaskStage = Exclude<Stage, "ask">;

/** How far ahead of a due point `ahead` speaks: days, and distance in the meter's unit. */
export interface Lead {
  days: number;
  distance?: number | undefined;
}

/** What makes a stage speak; `ridingOn` is the floor that silence cannot lower. */
export type SpokenBy = "calendar" | "reading" | "forecast" | "distanceLeft" | "ridingOn";

/** When a stage's rule first speaks. */
export interface Moment {
  at: Instant;
  by: SpokenBy;
}

export type StageMoments = Record<TaskStage, Moment | null>;

/** Days over which moments are looked for; beyond them a plan is made anew. */
export const HORIZON_DAYS = 800;

/**
 * The first instant at or after `now` at which each stage's rule speaks if nothing more is posted,
 * or `null` where none does within the horizon. The calendar is exact (start of the date in the
 * zone); what a reading shows speaks now; the forecast is looked at now and at whole days (midnight
 * UTC), so that it speaks at most a day late and the same answer comes back for the same data
 * whenever it is worked out a day or more before. About 20 evaluations of the outlook, at most 60.
 *
 * `ahead` speaks by the first of: the lead before the date, the probability within the lead, the
 * distance left, and the floor of a machine that is ridden on. A machine that may be parked is
 * hardly ever believed to arrive sooner than one that rides, hence the forecast is sought between
 * the dates that the riding law gives; what the search misses there (see `firstOfHumped`) the floor
 * still says. `due` and `overdue` have no floor: a silent rider is asked, not told.
 */
export function stageMoments(
  outlook: Outlook,
  lead: Lead,
  now: Instant,
  zone: string,
  thresholds: Thresholds,
): StageMoments {
  const search = new StageSearch(outlook, lead, now, zone, thresholds);
  const ahead = search.ahead();
  const due = search.due();
  return { ahead, due, overdue: search.overdue(due) };
}

class StageSearch {
  readonly #outlook: Outlook;
  readonly #lead: Lead;
  readonly #now: Instant;
  readonly #zone: string;
  readonly #thresholds: Thresholds;
  readonly #today: number;
  readonly #firstDay: number;
  /** The last day before which `due` is not expected, found on the way to `ahead`. */
  #ridingClear: number;

  constructor(outlook: Outlook, lead: Lead, now: Instant, zone: string, thresholds: Thresholds) {
    this.#outlook = outlook;
    this.#lead = lead;
    this.#now = now;
    this.#zone = zone;
    this.#thresholds = thresholds;
    this.#today = now / MS_PER_DAY;
    this.#firstDay = Math.floor(this.#today) + 1;
    this.#ridingClear = this.#firstDay;
  }

  ahead(): Moment | null {
    const { dueDate, reachedByReading } = this.#outlook;
    const { days, distance } = this.#lead;
    const dated = this.#onDate(dueDate, -days);
    if (reachedByReading) return { at: this.#now, by: "reading" };
    if (dated?.at === this.#now) return dated;
    const byForecast = this.#aheadByForecast(this.#lastDayBefore(dated));
    const soonest = earlier(dated, byForecast);
    if (distance === undefined || soonest?.at === this.#now) return soonest;
    return earlier(this.#aheadByDistance(distance, this.#lastDayBefore(soonest)), soonest);
  }

  due(): Moment | null {
    const { reachedByReading, dueDate } = this.#outlook;
    if (reachedByReading) return { at: this.#now, by: "reading" };
    const dated = this.#onDate(dueDate, 0);
    const reached = (day: number) => this.#outlook.reached(day, day);
    return earlier(dated, this.#likely(reached, this.#ridingClear, dated));
  }

  overdue(due: Moment | null): Moment | null {
    if (this.#outlook.pastByReading) return { at: this.#now, by: "reading" };
    const dated = this.#onDate(this.#outlook.lateDate, 1);
    if (due === null) return dated;
    const past = (day: number) => this.#outlook.past(day, day);
    return earlier(dated, this.#likely(past, this.#wholeDay(due.at), dated));
  }

  #aheadByForecast(to: number): Moment | null {
    const { ahead, floor, likely } = this.#thresholds;
    const { days } = this.#lead;
    const reached = (day: number) => this.#outlook.reached(day, day + days);
    const riding = (day: number) => this.#outlook.reachedRiding(this.#today, day + days);
    if (reached(this.#today) >= ahead) return { at: this.#now, by: "forecast" };
    if (riding(this.#today) >= floor) return { at: this.#now, by: "ridingOn" };
    const ridden = firstOfRising(riding, floor, ahead, [this.#firstDay, to]);
    const until = ridden.day ?? to;
    if (floor <= likely) this.#ridingClear = Math.floor(until + days);
    const from = Math.min(until, Math.max(this.#firstDay, ridden.clear));
    const found = firstOfHumped(reached, ahead, this.#today, [from, until]);
    if (found !== null) return { at: found * MS_PER_DAY, by: "forecast" };
    return ridden.day === null ? null : { at: ridden.day * MS_PER_DAY, by: "ridingOn" };
  }

  #aheadByDistance(distance: number, to: number): Moment | null {
    const { ahead } = this.#thresholds;
    const left = (day: number) => this.#outlook.leftAtMost?.(day, distance) ?? 0;
    if (left(this.#today) >= ahead) return { at: this.#now, by: "distanceLeft" };
    const found = firstOfHumped(left, ahead, this.#today, [this.#firstDay, to]);
    return found === null ? null : { at: found * MS_PER_DAY, by: "distanceLeft" };
  }

  #likely(f: (day: number) => number, from: number, before: Moment | null): Moment | null {
    const { likely } = this.#thresholds;
    if (before?.at === this.#now) return null;
    if (f(this.#today) >= likely) return { at: this.#now, by: "forecast" };
    const start = Math.max(from, this.#firstDay);
    const end = this.#lastDayBefore(before);
    const found = firstOfHumped(f, likely, this.#today, [start, end]);
    return found === null ? null : { at: found * MS_PER_DAY, by: "forecast" };
  }

  /** The start of the date so many days after the given one, or now where it lies before. */
  #onDate(date: PlainDate | undefined, days: number): Moment | null {
    if (date === undefined) return null;
    const at = startOf(addDays(date, Math.ceil(days)), this.#zone);
    return at > this.#now + HORIZON_DAYS * MS_PER_DAY
      ? null
      : { at: Math.max(at, this.#now), by: "calendar" };
  }

  /** The last whole day that lies before the moment, or at the horizon without one. */
  #lastDayBefore(moment: Moment | null): number {
    if (moment === null) return this.#firstDay + HORIZON_DAYS - 1;
    return Math.ceil(moment.at / MS_PER_DAY) - 1;
  }

  #wholeDay(at: Instant): number {
    return Math.ceil(at / MS_PER_DAY);
  }
}

function earlier(a: Moment | null, b: Moment | null): Moment | null {
  if (a === null) return b;
  return b === null || a.at <= b.at ? a : b;
}
