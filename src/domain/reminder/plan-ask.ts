import { type Instant, MS_PER_DAY } from "../calendar/plain-date.ts";
import { dateAt } from "../calendar/zone.ts";
import { firstOfRising } from "./first-day.ts";
import type { Outlook } from "./outlook.ts";
import type { Preferences } from "./preferences.ts";
import { type Existing, isOpen, isSilenced, type Wanted, type Why } from "./reminder.ts";
import { nextSendingHour, startOf } from "./sending-hour.ts";
import { HORIZON_DAYS } from "./stages.ts";

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

/**
 * P(reached within the lead) from which a reading is worth an ask: well below the 0.3 at which a
 * reminder speaks, so that an answer comes before it. Measured in the closed loop of the backtest:
 * 0.2 asks half as often and speaks in time less often, most of all to riders who seldom post.
 */
const WORTH_ASKING = 0.05;
const DAYS_AFTER_READING = 7;
const DAYS_BETWEEN_ASKS = 30;

/** Someone who has left two asks unanswered is asked less often: our choice, a season. */
const PATIENCE = 2;
const DAYS_AFTER_NO_ANSWER = 90;

/** Days a lay-up must have lasted before spring asks whether it has ended: our choice. */
const SETTLED_LAY_UP_DAYS = 30;

/**
 * When the member is to be asked for a reading, or `null`. Asked when a machine that is ridden on
 * reaches the due point of some task within its lead with probability 0.05 or more, so that silence
 * never silences; the last reading is then 7 and the last ask 30 days old, 90 days where two were
 * not answered. Without any reading the first is asked for. During a lay-up without a known end
 * only spring asks, whether it has ended.
 */
export function planAsk(ask: AskToPlan): Wanted | null {
  if (!ask.preferences.askForReadings) return null;
  const asks = earlierAsks(ask);
  const moment = askMoment(ask, asks);
  if (moment === null) return null;
  const open = ask.existing.find((r) => r.occurrence === `ask:${asks.number}` && isOpen(r));
  const waiting = open !== undefined && open.plannedFor <= ask.now && moment.at <= ask.now;
  return {
    memberId: ask.memberId,
    vehicleId: ask.vehicleId,
    taskId: null,
    occurrence: `ask:${asks.number}`,
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

interface EarlierAsks {
  /** The number of the next ask. */
  number: number;
  /** When the last one went out or was called off by a person. */
  last: Instant | null;
  /** How many came after the last reading. */
  unanswered: number;
}

function earlierAsks({ existing, silentSince }: AskToPlan): EarlierAsks {
  const asks: EarlierAsks = { number: 1, last: null, unanswered: 0 };
  for (const reminder of existing) {
    const over = reminder.status === "sent" || reminder.status === "failed" || isSilenced(reminder);
    if (!over) continue;
    const at = reminder.sentAt ?? reminder.plannedFor;
    asks.number = Math.max(asks.number, Number(reminder.occurrence.slice("ask:".length)) + 1);
    asks.last = Math.max(asks.last ?? 0, at);
    if (at > silentSince) asks.unanswered += 1;
  }
  return asks;
}

function askMoment(ask: AskToPlan, { last, unanswered }: EarlierAsks): AskMoment | null {
  const { now, silentSince, layUp } = ask;
  const days = unanswered < PATIENCE ? DAYS_BETWEEN_ASKS : DAYS_AFTER_NO_ANSWER;
  const rested = last === null ? now : last + days * MS_PER_DAY;
  const earliest = Math.max(now, silentSince + DAYS_AFTER_READING * MS_PER_DAY, rested);
  if (layUp?.until === null) return springAsk(ask, layUp.from, earliest);
  if (ask.tasks.length === 0) return null;
  const inUse = layUp === undefined ? earliest : Math.max(earliest, layUp.until);
  if (ask.tasks.some(({ outlook }) => outlook === null)) return { at: inUse, by: "noReading" };
  return soonestAsk(ask, inUse);
}

function soonestAsk(ask: AskToPlan, start: Instant): AskMoment | null {
  let soonest: AskMoment | null = null;
  for (const { outlook, leadDays } of ask.tasks) {
    if (outlook === null || outlook.reachedByReading) continue;
    const before = Math.min(
      soonest?.at ?? Number.POSITIVE_INFINITY,
      outlook.dueDate === undefined
        ? Number.POSITIVE_INFINITY
        : startOf(outlook.dueDate, ask.preferences.zone),
    );
    const at = firstReached(outlook, leadDays, start, before);
    if (at === null) continue;
    const day = at / MS_PER_DAY;
    const believed = outlook.reached(day, day + leadDays) >= WORTH_ASKING / 2;
    soonest = { at, by: believed ? "forecast" : "silence" };
  }
  return soonest;
}

/** The first instant from `start`, and before `before`, at which riding on reaches it within the lead. */
function firstReached(
  outlook: Outlook,
  leadDays: number,
  start: Instant,
  before: Instant,
): Instant | null {
  if (start >= before) return null;
  const origin = start / MS_PER_DAY;
  const riding = (day: number) => outlook.reachedRiding(origin, day + leadDays);
  if (riding(origin) >= WORTH_ASKING) return start;
  const from = Math.floor(origin) + 1;
  const to = Math.min(from + HORIZON_DAYS, Math.ceil(before / MS_PER_DAY) - 1);
  const { day } = firstOfRising(riding, WORTH_ASKING, WORTH_ASKING, [from, to]);
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
