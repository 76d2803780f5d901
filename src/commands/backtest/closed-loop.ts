import { isFourWheeled } from "../../domain/usage/habit.ts";
import type { Method } from "./method.ts";
import { historyUntil } from "./origins.ts";
import { dayPassed, type Series } from "./series.ts";

/** Days ahead of the due point by which it is expected that a reminder speaks. */
export const LEAD_DAYS = 21;
/** Where P(reached within the lead) comes to this, it speaks. */
const SPEAKS = 0.3;
/** A first reminder so many days ahead is in time: later leaves no room, earlier is forgotten. */
const IN_TIME = { least: 7, most: 60 };
/** Service intervals in the loop, km: common practice, no source. */
const LOOP_KM = { fourWheels: 10_000, others: 3000 };

/** What became of the due points of one series. */
export interface Loop {
  dues: number;
  inTime: number;
  tooEarly: number;
  /** Too late, or never before the due point was passed. */
  tooLate: number;
  asks: number;
  /** Days over which the machine was watched. */
  days: number;
}

/** One due point: watched from a day on, passed on another, or not by the end of the series. */
export interface Due {
  readonly target: number;
  readonly from: number;
  readonly passed: number | null;
  readonly end: number;
}

export const emptyLoop = (): Loop => ({
  dues: 0,
  inTime: 0,
  tooEarly: 0,
  tooLate: 0,
  asks: 0,
  days: 0,
});

/** The due points of a series, one service interval after another. */
export function duesOf({ kind, posted, truth }: Series): Due[] {
  const interval = isFourWheeled(kind) ? LOOP_KM.fourWheels : LOOP_KM.others;
  const [first] = posted;
  const end = truth.at(-1)?.day ?? 0;
  const dues: Due[] = [];
  for (let target = (first?.km ?? 0) + interval, from = first?.day ?? 0; ; target += interval) {
    const passed = dayPassed(truth, target);
    dues.push({ target, from, passed, end });
    if (passed === null) return dues;
    from = passed;
  }
}

/**
 * Counts what a first reminder on `spoke` (null: none by the due point or the end) was worth. Of a
 * due point that was not passed by the end of the series only a reminder that is already too early
 * can be judged.
 */
export function judge(loop: Loop, { from, passed, end }: Due, spoke: number | null): void {
  loop.days += (passed ?? end) - from;
  if (passed === null) {
    if (spoke === null || end - spoke <= IN_TIME.most) return;
    loop.dues += 1;
    loop.tooEarly += 1;
    return;
  }
  // One that came into force less than the lead before it is passed can hardly be announced.
  if (passed - from < LEAD_DAYS) return;
  loop.dues += 1;
  const ahead = spoke === null ? Number.NEGATIVE_INFINITY : passed - spoke;
  if (ahead > IN_TIME.most) loop.tooEarly += 1;
  else if (ahead >= IN_TIME.least) loop.inTime += 1;
  else loop.tooLate += 1;
}

/** The plain loop: day by day, a reminder where P(reached within 21 days) comes to 0.3; no asks. */
export function plainLoop(method: Method, series: Series): Loop {
  const loop = emptyLoop();
  for (const due of duesOf(series)) judge(loop, due, firstSpoken(method, series, due));
  return loop;
}

function firstSpoken(method: Method, series: Series, due: Due): number | null {
  const last = Math.floor(due.passed ?? due.end);
  let known = -1;
  let reading = 0;
  let belief = method.believe(historyUntil(series, due.from));
  for (let day = Math.ceil(due.from); day < last; day += 1) {
    const count = postedBy(series, day);
    if (count !== known) {
      known = count;
      const history = historyUntil(series, day);
      reading = history.readings.at(-1)?.km ?? 0;
      if (reading >= due.target) return day;
      belief = method.believe(history);
    }
    const today = belief.at?.(day) ?? belief;
    if (today.crossing(due.target)(day + LEAD_DAYS) >= SPEAKS) return day;
  }
  return null;
}

function postedBy({ posted }: Series, day: number): number {
  let count = 0;
  while (count < posted.length && (posted[count]?.day ?? 0) <= day) count += 1;
  return count;
}
