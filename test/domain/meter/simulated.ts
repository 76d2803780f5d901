import { seeded } from "../../../src/commands/backtest/seeded.ts";
import type { VehicleKind } from "../../../src/domain/usage/kind.ts";

export const HABITS = [
  "commuter",
  "weekend",
  "tourer",
  "winter",
  "change",
  "sparse",
  "parked",
] as const;

export type Habit = (typeof HABITS)[number];

/** Readings of one invented machine, in time order: days after the start and whole km shown. */
export interface SimulatedRider {
  habit: Habit;
  kind: VehicleKind;
  readings: { day: number; km: number }[];
}

interface Character {
  habit: Habit;
  /** Mean distance of an ordinary day, km. */
  perDay: number;
  /** Chance of a long trip beginning on a day: a tourer makes several a year, others seldom one. */
  tripChance: number;
}

const DAYS = 730;

/** The seed's rider: one of seven habits, two years of daily distances, read at odd times. */
export function simulatedRider(seed: number): SimulatedRider {
  const random = seeded(seed);
  const habit = HABITS[seed % HABITS.length] ?? "commuter";
  const kind: VehicleKind = habit === "commuter" && random() < 0.5 ? "car" : "motorcycle";
  const character = {
    habit,
    perDay: 10 + 25 * random(),
    tripChance: habit === "tourer" ? 0.01 : 0.3 / 365,
  };
  const every = habit === "sparse" ? 90 : 10 + 25 * random();
  const rounding = random() < 0.8 ? 1 : 10;
  const start = Math.floor(30_000 * random());
  const readings: SimulatedRider["readings"] = [];
  let next = 0;
  for (const [day, ridden] of totals(character, random).entries()) {
    if (day < next) continue;
    const km = Math.floor((start + ridden) / rounding) * rounding;
    readings.push({ day: day + random() * 0.5, km });
    next = day + 1 - every * Math.log(1 - random());
  }
  return { habit, kind, readings };
}

/** What was ridden by the end of each day, km. */
function totals({ habit, perDay, tripChance }: Character, random: () => number): number[] {
  let [km, trip, standing] = [0, 0, 0];
  return Array.from({ length: DAYS }, (_, day) => {
    if (trip === 0 && random() < tripChance) trip = 4 + Math.floor(9 * random());
    if (standing === 0 && habit === "parked" && random() < 1 / 100)
      standing = 20 + Math.floor(130 * random());
    if (trip > 0) km += 250 + 250 * random();
    else if (standing === 0) km += ordinaryDay(habit, day, perDay, random);
    trip = Math.max(0, trip - 1);
    standing = Math.max(0, standing - 1);
    return km;
  });
}

function ordinaryDay(habit: Habit, day: number, perDay: number, random: () => number): number {
  const noise = -Math.log(1 - random());
  const weekend = day % 7 > 4;
  const winter = day % 365 < 75 || day % 365 > 310;
  switch (habit) {
    case "commuter":
      return weekend ? 0.3 * perDay * noise : perDay * (0.8 + 0.4 * random());
    case "weekend":
    case "sparse":
      return weekend && random() < 0.6 ? 5 * perDay * noise : 0;
    case "tourer":
      return 0.4 * perDay * noise;
    case "winter":
      return winter ? 0 : perDay * noise;
    case "change":
      return (day < 365 ? 0.4 : 1.6) * perDay * noise;
    case "parked":
      return perDay * noise;
  }
}

/** The figure as it comes out of one usual slip; null where that slip changes nothing. */
export function slipped(km: number, random: () => number): number | null {
  const text = String(km);
  const at = Math.floor(random() * text.length);
  const kind = Math.floor(random() * 5);
  const digit = Math.floor(random() * 10);
  const next = text[at + 1];
  const typed = [
    String(Math.round(km / 1.609344)),
    text.slice(0, at) + text.slice(at + 1),
    text.slice(0, at) + text[at] + text.slice(at),
    next === undefined ? text : text.slice(0, at) + next + text[at] + text.slice(at + 2),
    text.slice(0, at) + digit + text.slice(at + 1),
  ][kind];
  const figure = Number(typed);
  return figure === km ? null : figure;
}
