import { type Instant, MS_PER_DAY } from "../calendar/plain-date.ts";
import { dateAt } from "../calendar/zone.ts";
import { firstOfHumped, firstOfRising } from "./first-day.ts";
import type { Outlook } from "./outlook.ts";
import type { Preferences } from "./preferences.ts";
import { type Existing, isOpen, isSilenced, type Wanted, type Why } from "./reminder.ts";
import { nextSendingHour, startOf } from "./sending-hour.ts";
import { HORIZON_DAYS } from "./stages.ts";
import { MORE_LIKELY_THAN_NOT } from "./thresholds.ts";

/** One machine, for one member who can read its meter. */
export interface AskToPlan {
  memberId: string;
  vehicleId: string;
  /** The open tasks with a distance or hours limit; outlook null = nothing posted yet. */
  tasks: readonly { outlook: Outlook | null; leadDays: number }[];
  /** When the last accepted reading was taken; without one, when the machine was entered. */
  silentSince: Instant;
  /** End of the lay-up that runs now, null = no end known, with its start; absent = in use. */
  layUp?: { from: Instant; until: Instant | null } | undefined;
  south: boolean;
  preferences: Preferences;
  /** When the data last changed. */
  now: Instant;
  /** Earlier asks of this member about this machine. */
  existing: readonly Existing[];
}

/** P(reached within the lead) from which a reading would change the decision. */
const WORTH_ASKING = 0.2;
const DAYS_AFTER_READING = 7;
const DAYS_BETWEEN_ASKS = 30;

/** Someone who does not answer is asked less often: our choice, a season. */
const DAYS_BETWEEN_FLOOR_ASKS = 90;

/** Days a lay-up must have lasted before spring asks whether it has ended: our choice. */
const SETTLED_LAY_UP_DAYS = 30;

/**
 * When the member is to be asked for a reading, or `null`. Asked when some task is reached within
 * its lead with probability 0.2 or more, the last reading is 7 and the last ask 30 days old. Floor:
 * a rider whose silence has lowered that probability is asked all the same, each 90 days, once a
 * machine that is ridden on would more likely than not be due. Without any reading the first is
 * asked for. During a lay-up without a known end only spring asks, whether it has ended.
 */
export function planAsk(ask: AskToPlan): Wanted | null {
  if (!ask.preferences.askForReadings) return null;
  const { number, last } = earlierAsks(ask.existing);
  const moment = askMoment(ask, last);
  if (moment === null) return null;
  const open = ask.existing.find((r) => r.occurrence === `ask:${number}` && isOpen(r));
  const waiting = open !== undefined && open.plannedFor <= ask.now && moment.at <= ask.now;
  return {
    memberId: ask.memberId,
    vehicleId: ask.vehicleId,
    taskId: null,
    occurrence: `ask:${number}`,
    revision: 0,
    stage: "ask",
    plannedFor: waiting ? open.plannedFor : nextSendingHour(moment.at, ask.preferences),
    why: { by: moment.by },
  };
}

interface AskMoment {
  at: Instant;
  by: Why["by"];
}

/** The number of the next ask, and when the last one went out or was called off by a person. */
function earlierAsks(existing: readonly Existing[]): { number: number; last: Instant | null } {
  let number = 1;
  let last: Instant | null = null;
  for (const reminder of existing) {
    const over = reminder.status === "sent" || reminder.status === "failed" || isSilenced(reminder);
    if (!over) continue;
    number = Math.max(number, Number(reminder.occurrence.slice("ask:".length)) + 1);
    last = Math.max(last ?? 0, reminder.sentAt ?? reminder.plannedFor);
  }
  return { number, last };
}

function askMoment(ask: AskToPlan, last: Instant | null): AskMoment | null {
  const { now, silentSince, layUp } = ask;
  const rested = (days: number) => (last === null ? now : last + days * MS_PER_DAY);
  const earliest = (days: number) =>
    Math.max(now, silentSince + DAYS_AFTER_READING * MS_PER_DAY, rested(days));
  if (layUp?.until === null) return springAsk(ask, layUp.from, earliest(DAYS_BETWEEN_ASKS));
  if (ask.tasks.length === 0) return null;
  const inUse = layUp === undefined ? now : Math.max(now, layUp.until);
  const usual = Math.max(inUse, earliest(DAYS_BETWEEN_ASKS));
  if (ask.tasks.some(({ outlook }) => outlook === null)) return { at: usual, by: "noReading" };
  const floor = Math.max(inUse, earliest(DAYS_BETWEEN_FLOOR_ASKS));
  return soonestAsk(ask, usual, floor);
}

function soonestAsk(ask: AskToPlan, usual: Instant, floor: Instant): AskMoment | null {
  let soonest: AskMoment | null = null;
  for (const { outlook, leadDays } of ask.tasks) {
    if (outlook === null || outlook.reachedByReading) continue;
    const before = Math.min(
      soonest?.at ?? Number.POSITIVE_INFINITY,
      outlook.dueDate === undefined
        ? Number.POSITIVE_INFINITY
        : startOf(outlook.dueDate, ask.preferences.zone),
    );
    const reached = (day: number) => outlook.reached(day, day + leadDays);
    const asked = firstAsk(firstOfHumped, reached, WORTH_ASKING, usual, before);
    if (asked !== null) soonest = { at: asked, by: "forecast" };
    const riding = (day: number) => outlook.reachedRiding(usual / MS_PER_DAY, day + leadDays);
    const rising = (f: OfDay, level: number, _origin: number, range: DayRange) =>
      firstOfRising(f, level, level, range).day;
    const until = Math.min(before, asked ?? Number.POSITIVE_INFINITY);
    const silent = firstAsk(rising, riding, MORE_LIKELY_THAN_NOT, floor, until);
    if (silent !== null) soonest = { at: silent, by: "silence" };
  }
  return soonest;
}

type OfDay = (day: number) => number;
type DayRange = readonly [number, number];
type Search = (f: OfDay, level: number, origin: number, range: DayRange) => number | null;

/** The first instant from `start`, and before `before`, at which `f` reaches the level. */
function firstAsk(
  search: Search,
  f: OfDay,
  level: number,
  start: Instant,
  before: Instant,
): Instant | null {
  if (start >= before) return null;
  const origin = start / MS_PER_DAY;
  if (f(origin) >= level) return start;
  const from = Math.floor(origin) + 1;
  const to = Math.min(from + HORIZON_DAYS, Math.ceil(before / MS_PER_DAY) - 1);
  const day = search(f, level, origin, [from, to]);
  return day === null ? null : day * MS_PER_DAY;
}

/** The first of March (south: of September) from `earliest` on, if the lay-up has then settled. */
function springAsk(ask: AskToPlan, from: Instant, earliest: Instant): AskMoment {
  const start = Math.max(earliest, from + SETTLED_LAY_UP_DAYS * MS_PER_DAY);
  const { zone } = ask.preferences;
  const firstYear = Number(dateAt(start, zone).slice(0, 4));
  const spring = (year: number) =>
    startOf(`${String(year).padStart(4, "0")}-${ask.south ? "09" : "03"}-01`, zone);
  const at = spring(firstYear) >= start ? spring(firstYear) : spring(firstYear + 1);
  return { at, by: "layUp" };
}
