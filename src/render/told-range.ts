import type { LikelyDates } from "../application/views.ts";
import { addDays, daysBetween, type PlainDate } from "../domain/calendar/plain-date.ts";
import { type Hemisphere, seasonAt } from "./season.ts";

/** How fine a range is told: a period is named whole, so that none of its days is left out. */
export type Fineness = "day" | "month" | "season" | "year";

/** A date told as the period that it lies in; `about` where even that would promise too much. */
export interface ToldDate {
  date: PlainDate;
  fineness: Fineness;
  about?: boolean;
}

/** What may be said of a range of dates without promising more than its quantiles do. */
export type ToldRange =
  /** The quantiles leave everything open; `most` only where it lies near. */
  | { kind: "cannotTell"; most?: ToldDate }
  | { kind: "far" }
  | { kind: "reached" }
  | { kind: "veryLikelyReached" }
  | { kind: "today" }
  | { kind: "on"; date: PlainDate }
  /** Reached already with a chance of 10 to 50 %, or of 50 to 90 %. */
  | { kind: "perhapsReached"; to: ToldDate; most?: ToldDate }
  | { kind: "probablyReached"; to: ToldDate }
  | { kind: "between"; from: ToldDate; to: ToldDate; most?: ToldDate }
  | { kind: "notBefore"; from: ToldDate; to?: ToldDate };

/** Ranges wider than these days are told in months, in seasons, and at last by their start alone. */
const DAYS_UP_TO = 75;
const MONTHS_UP_TO = 300;
const SEASONS_UP_TO = 900;
/** The most likely day is told as about that day in a range wider than this. */
const EXACT_UP_TO = 31;
/** A range that has begun and ends later than this tells nothing. */
const ABOUT_A_YEAR = 400;
/** One without an end tells nothing where it begins so soon. */
const SOON = 14;
/** A likely date in an open range is worth telling up to here. */
const NEAR = 180;
/** Starts further away than these days are told in months, seasons, years. */
const START_IN_MONTHS = 30;
const START_IN_SEASONS = 90;
const START_IN_YEARS = 1100;

/**
 * Chooses what to say of P10, P50 and P90 as dates; rounding only ever widens what is told. Without
 * a hemisphere no season is named. Undefined: nothing is known.
 */
export function toldRange(
  likely: LikelyDates | undefined,
  today: PlainDate,
  hemisphere: Hemisphere | null,
): ToldRange {
  if (!likely) return { kind: "cannotTell" };
  const { from, to } = likely;
  const most = mostInside(likely);
  if (from === null) return { kind: "far" };
  if (from === to) return oneDay(from, today);
  if (to !== null && to <= today) return { kind: "veryLikelyReached" };
  if (from <= today) return begun(to, most, today);
  if (to === null || daysBetween(from, to) > SEASONS_UP_TO) {
    return open(from, to, most, today, hemisphere);
  }
  return between(from, to, most, hemisphere);
}

/** The median, if it lies in the range that is told. */
function mostInside({ from, to, most }: LikelyDates): PlainDate | null {
  if (from === null || most === null || most < from) return null;
  return to !== null && most > to ? null : most;
}

function oneDay(date: PlainDate, today: PlainDate): ToldRange {
  if (date === today) return { kind: "today" };
  return date < today ? { kind: "reached" } : { kind: "on", date };
}

function begun(to: PlainDate | null, most: PlainDate | null, today: PlainDate): ToldRange {
  if (to === null || daysBetween(today, to) > ABOUT_A_YEAR) return cannotTell(most, today);
  const width = daysBetween(today, to);
  const fineness = width > DAYS_UP_TO ? "month" : "day";
  const end: ToldDate = { date: to, fineness };
  if (most !== null && most <= today) return { kind: "probablyReached", to: end };
  const told = most !== null && width <= MONTHS_UP_TO && middle(most, fineness, width);
  return { kind: "perhapsReached", to: end, ...(told && { most: told }) };
}

function cannotTell(most: PlainDate | null, today: PlainDate): ToldRange {
  const away = most === null ? Number.POSITIVE_INFINITY : daysBetween(today, most);
  if (most === null || away > NEAR) return { kind: "cannotTell" };
  return {
    kind: "cannotTell",
    most: { date: most, fineness: away > DAYS_UP_TO ? "month" : "day" },
  };
}

function open(
  from: PlainDate,
  to: PlainDate | null,
  most: PlainDate | null,
  today: PlainDate,
  hemisphere: Hemisphere | null,
): ToldRange {
  if (from <= addDays(today, SOON)) return cannotTell(most, today);
  return {
    kind: "notBefore",
    from: { date: from, fineness: startFineness(from, today, hemisphere) },
    ...(to !== null && { to: { date: to, fineness: "year" } }),
  };
}

/** As coarse as the distance asks for, but never a period that has begun: it would say nothing. */
function startFineness(from: PlainDate, today: PlainDate, hemisphere: Hemisphere | null): Fineness {
  const away = daysBetween(today, from);
  if (away > START_IN_YEARS) return "year";
  if (hemisphere && away > START_IN_SEASONS) {
    if (seasonAt(from, hemisphere).from > today) return "season";
  }
  return away > START_IN_MONTHS && from.slice(0, 7) > today.slice(0, 7) ? "month" : "day";
}

function between(
  from: PlainDate,
  to: PlainDate,
  most: PlainDate | null,
  hemisphere: Hemisphere | null,
): ToldRange {
  const width = daysBetween(from, to);
  const coarse = hemisphere && width > MONTHS_UP_TO ? "season" : "month";
  const fineness = width > DAYS_UP_TO ? coarse : "day";
  // A month would be too exact for the middle of a range of seasons.
  const exact = most !== null && (fineness !== "month" || width <= MONTHS_UP_TO);
  return {
    kind: "between",
    from: { date: from, fineness },
    to: { date: to, fineness },
    ...(exact && { most: middle(most, fineness, width) }),
  };
}

function middle(date: PlainDate, fineness: Fineness, width: number): ToldDate {
  const about = fineness === "day" && width > EXACT_UP_TO;
  return { date, fineness, ...(about && { about }) };
}
