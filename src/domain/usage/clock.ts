import { type LayUpDays, mergeLayUps } from "./lay-up.ts";
import { DAYS_PER_YEAR, type Season } from "./season.ts";

/**
 * Time as the machine is ridden: it runs fast in the riding season and nearly stands in a lay-up.
 * A clock day is an average day of the year outside lay-ups. Strictly increasing both ways.
 */
export interface Clock {
  /** Clock days at a day since 1970-01-01. */
  at(day: number): number;
  /** The day at which the clock shows so many clock days. */
  dayAt(clockDays: number): number;
}

/**
 * Speed of the clock inside a lay-up. Not 0, so that the clock can be turned back into days, and
 * because laid-up machines do move now and then.
 */
const LAID_UP_SPEED = 0.02;

/**
 * Clock of a season with lay-ups:
 * year clock Y (y + c_m + s_m (f - m)/12), with u = day/Y, y = floor u, f = 12 (u - y), m = floor f,
 * c_m = (s_0 + ... + s_{m-1})/12; less 0.98 of the year clock's length of every lay-up gone by.
 * Piecewise linear, and so is the inverse.
 */
export function clockOf(season: Season, layUps: readonly LayUpDays[]): Clock {
  const year = yearClock(season);
  return layUps.length === 0 ? year : withLayUps(year, layUps);
}

function yearClock(season: Season): Clock {
  const before = [0];
  for (let m = 0; m < 12; m++) before.push((before[m] ?? 0) + (season[m] ?? 1) / 12);
  return {
    at(day) {
      const years = day / DAYS_PER_YEAR;
      const whole = Math.floor(years);
      const f = 12 * (years - whole);
      const m = Math.min(11, Math.floor(f));
      return DAYS_PER_YEAR * (whole + (before[m] ?? 0) + ((season[m] ?? 1) * (f - m)) / 12);
    },
    dayAt(clockDays) {
      const years = clockDays / DAYS_PER_YEAR;
      const whole = Math.floor(years);
      const share = years - whole;
      let m = 11;
      while (m > 0 && (before[m] ?? 0) > share) m--;
      const within = (share - (before[m] ?? 0)) / (season[m] ?? 1);
      return DAYS_PER_YEAR * (whole + m / 12 + within);
    },
  };
}

function withLayUps(year: Clock, layUps: readonly LayUpDays[]): Clock {
  let lost = 0;
  const pauses = mergeLayUps(layUps).map(({ from, to }) => {
    const begins = year.at(from);
    const length = to === Number.POSITIVE_INFINITY ? to : year.at(to) - begins;
    const pause = { begins, ends: begins + length, shownAt: begins - lost, lost };
    lost += (1 - LAID_UP_SPEED) * length;
    return pause;
  });
  return {
    at(day) {
      const time = year.at(day);
      const pause = pauses.findLast(({ begins }) => begins < time);
      if (pause === undefined) return time;
      const gone = Math.min(time, pause.ends) - pause.begins;
      return time - pause.lost - (1 - LAID_UP_SPEED) * gone;
    },
    dayAt(clockDays) {
      const pause = pauses.findLast(({ shownAt }) => shownAt < clockDays);
      if (pause === undefined) return year.dayAt(clockDays);
      const since = clockDays - pause.shownAt;
      const length = pause.ends - pause.begins;
      const inside = since <= LAID_UP_SPEED * length;
      const gone = inside ? since / LAID_UP_SPEED : since + (1 - LAID_UP_SPEED) * length;
      return year.dayAt(pause.begins + gone);
    },
  };
}
