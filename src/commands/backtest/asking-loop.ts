import { MS_PER_DAY } from "../../domain/calendar/plain-date.ts";
import { fit as lawFrom } from "../../domain/forecast/fit.ts";
import type { Law } from "../../domain/forecast/law.ts";
import type { Outlook } from "../../domain/reminder/outlook.ts";
import { planAsk } from "../../domain/reminder/plan-ask.ts";
import type { Preferences } from "../../domain/reminder/preferences.ts";
import type { Existing } from "../../domain/reminder/reminder.ts";
import { stageMoments } from "../../domain/reminder/stages.ts";
import { thresholdsFor } from "../../domain/reminder/thresholds.ts";
import type { Point } from "../../domain/usage/track.ts";
import { type Due, duesOf, emptyLoop, judge, LEAD_DAYS, type Loop } from "./closed-loop.ts";
import { historyUntil } from "./origins.ts";
import { exponential, seeded } from "./seeded.ts";
import { type Series, totalOn } from "./series.ts";

/** The share of asks that are answered, and the days until then. */
const ANSWERED = 0.5;
const ANSWER_DAYS = 2;

const PREFERENCES: Preferences = {
  leadDays: LEAD_DAYS,
  sendingHour: 8,
  quietDays: [],
  askForReadings: true,
  zone: "UTC",
};

/**
 * The loop as the product closes it: the very rules that plan its reminders (expected cost, the
 * floor against silence) and its asks, from one change of data to the next, with a rider who answers
 * half the asks within days. `asks` false leaves the asks out.
 */
export function productLoop(series: Series, seed: number, asks: boolean): Loop {
  const loop = emptyLoop();
  const watched = new Watched(series, seed, asks);
  for (const due of duesOf(series)) judge(loop, due, watched.firstSpoken(due));
  loop.asks = watched.asks;
  return loop;
}

class Watched {
  readonly #series: Series;
  readonly #random: () => number;
  readonly #asking: boolean;
  /** What the rider posts unasked, and what was answered. */
  #posted: Point[];
  #sent: Existing[] = [];

  constructor(series: Series, seed: number, asking: boolean) {
    this.#series = series;
    this.#random = seeded(500_000 + seed);
    this.#asking = asking;
    this.#posted = [...series.posted];
  }

  get asks(): number {
    return this.#sent.length;
  }

  /** The day on which `ahead` first speaks; null when not before the due point is passed. */
  firstSpoken(due: Due): number | null {
    const until = due.passed ?? due.end;
    for (let now = due.from; now < until; ) {
      const { law, next } = this.#known(now);
      if (law.last.km >= due.target) return now;
      const outlook = outlookOf(law, due.target);
      const spoken = aheadDay(outlook, now);
      const ask = this.#asking ? this.#askDay(outlook, law, now) : Number.POSITIVE_INFINITY;
      const first = Math.min(spoken, ask, next);
      if (first >= until) return null;
      if (first === spoken) return spoken;
      if (first === ask) this.#ask(ask);
      now = first;
    }
    return null;
  }

  /** The law of what is known now, and when more will be posted unless it is asked for. */
  #known(now: number): { law: Law; next: number } {
    const history = historyUntil({ ...this.#series, posted: this.#posted }, now);
    const law = lawFrom(history);
    if (law === null) throw new Error("a due point is watched from the first reading on");
    const next = this.#posted.find(({ day }) => day > now)?.day ?? Number.POSITIVE_INFINITY;
    return { law, next };
  }

  #askDay(outlook: Outlook, law: Law, now: number): number {
    const ask = planAsk({
      memberId: "rider",
      vehicleId: "machine",
      tasks: [{ outlook, leadDays: LEAD_DAYS }],
      silentSince: law.last.day * MS_PER_DAY,
      south: false,
      preferences: PREFERENCES,
      now: now * MS_PER_DAY,
      existing: this.#sent,
    });
    return ask === null ? Number.POSITIVE_INFINITY : ask.plannedFor / MS_PER_DAY;
  }

  /** Sends an ask and draws whether it is answered; an answer is the true total of that day. */
  #ask(day: number): void {
    const occurrence = `ask:${this.#sent.length + 1}`;
    const sentAt = day * MS_PER_DAY;
    const identity = { memberId: "rider", vehicleId: "machine", taskId: null, revision: 0 };
    const stage = "ask" as const;
    const status = "sent" as const;
    const id = occurrence;
    this.#sent.push({ ...identity, id, occurrence, stage, status, plannedFor: sentAt, sentAt });
    if (this.#random() >= ANSWERED) return;
    const answered = day + ANSWER_DAYS * exponential(this.#random);
    const reading = { day: answered, km: Math.floor(totalOn(this.#series.truth, answered)) };
    this.#posted = inserted(this.#posted, reading);
  }
}

/** In time order; a rounded answer never stands above what is posted next. */
function inserted(posted: readonly Point[], reading: Point): Point[] {
  const before = posted.filter(({ day }) => day <= reading.day);
  const after = posted.slice(before.length);
  const least = before.at(-1)?.km ?? 0;
  const most = after[0]?.km ?? Number.POSITIVE_INFINITY;
  return [...before, { ...reading, km: Math.min(most, Math.max(least, reading.km)) }, ...after];
}

function aheadDay(outlook: Outlook, now: number): number {
  const lead = { days: LEAD_DAYS };
  const { ahead } = stageMoments(
    outlook,
    lead,
    now * MS_PER_DAY,
    PREFERENCES.zone,
    thresholdsFor(),
  );
  return ahead === null ? Number.POSITIVE_INFINITY : ahead.at / MS_PER_DAY;
}

function outlookOf(law: Law, target: number): Outlook {
  const at = (day: number) => law.at(Math.max(day, law.last.day));
  const riding = law.riding();
  return {
    reached: (day, by) => at(day).reachedBy(target, by),
    reachedRiding: (_day, by) => riding.reachedBy(target, by),
    past: () => 0,
    reachedByReading: false,
    pastByReading: false,
  };
}
