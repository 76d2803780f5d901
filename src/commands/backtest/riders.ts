import type { VehicleKind } from "../../domain/usage/kind.ts";
import type { LayUpDays } from "../../domain/usage/lay-up.ts";
import { postsOf } from "./posts.ts";
import { exponential, normal, seeded } from "./seeded.ts";
import type { Series } from "./series.ts";

/** Habits of the invented riders, each with the kind of machine that goes with it. */
export const HABITS = [
  "commuter",
  "weekend rider",
  "tourer",
  "winter lay-up",
  "habit change",
  "sparse poster",
  "stops and starts",
  "all-year car",
] as const;

export type RiderHabit = (typeof HABITS)[number];

/**
 * Mean distance of a year, km, of the machines of a kind, rounded from published figures: cars 12,320
 * (Germany, KBA 2023), vans 17,973 (Netherlands, CBS 2022), motorcycles 3,200 (United States, NHTSA
 * DOT HS 813 288), mopeds 2,400 (Netherlands, CBS 2015); the others from memory. The same NHTSA
 * report finds motorcycles very unevenly ridden, hence the wide spread.
 */
const MEAN_KM: Partial<Record<VehicleKind, number>> = {
  car: 12_000,
  van: 16_000,
  motorcycle: 3000,
  moped: 2000,
};
const OTHER_MEAN_KM = 2000;
/** Standard deviation of the logarithm of the yearly distance, from memory. */
const SPREAD = 0.8;

const DAYS = 1100;
/** 2021-01-01, days since 1970-01-01. */
const START = 18_628;
const WINTER_FROM = 305;
const WINTER_DAYS = 135;

/** A rider's own character, drawn once. */
interface Character {
  readonly habit: RiderHabit;
  readonly kind: VehicleKind;
  /** Mean km of a day in the season. */
  readonly perDay: number;
  /** 0 = rides all the year round alike, 1 = follows the weather entirely. */
  readonly weather: number;
  /** Share of days on which the machine is used at all. */
  readonly used: number;
  /** How far the logarithm of the rate wanders in a year. */
  readonly wander: number;
}

/** The seed's invented rider: three years of daily distances, and what was posted of them. */
export function simulatedRider(seed: number): Series {
  const random = seeded(seed);
  const character = characterOf(HABITS[seed % HABITS.length] ?? "commuter", random);
  return storyOf(character, `${character.habit} ${seed}`, random);
}

/** How far the machines of one fleet differ in the logarithm of their rate, from memory. */
const FLEET_SPREAD = 0.35;

/** Invented machines that the same people use in the same way, each with a story of its own. */
export function simulatedFleet(seed: number, machines: number): Series[] {
  const random = seeded(seed);
  const character = characterOf(HABITS[seed % HABITS.length] ?? "commuter", random);
  return Array.from({ length: machines }, (_, n) => {
    const perDay = character.perDay * Math.exp(FLEET_SPREAD * normal(random));
    return storyOf({ ...character, perDay }, `fleet ${seed}, machine ${n + 1}`, random);
  });
}

function storyOf(character: Character, name: string, random: () => number): Series {
  const layUps = layUpsOf(character, random);
  const truth = ridden(character, layUps, random);
  const { habit, kind } = character;
  const declares = random() < 0.3;
  return {
    name,
    group: habit,
    kind,
    posted: postsOf(truth, character, random),
    layUps: habit === "winter lay-up" && random() < 0.6 ? layUps : [],
    ...(declares && { declaredKmPerYear: declared(truth, random) }),
    truth,
  };
}

/** What a rider says of the own year: rounded, and off by a third as often as not. */
function declared(truth: Series["truth"], random: () => number): number {
  const [first, last] = [truth[0], truth.at(-1)];
  const yearly = (365 * ((last?.km ?? 0) - (first?.km ?? 0))) / DAYS;
  return Math.max(500, Math.round((yearly * Math.exp(0.35 * normal(random))) / 500) * 500);
}

function characterOf(habit: RiderHabit, random: () => number): Character {
  const kind = kindOf(habit, random);
  const mean = (MEAN_KM[kind] ?? OTHER_MEAN_KM) / 365.25;
  const perDay = mean * Math.exp(SPREAD * normal(random) - SPREAD ** 2 / 2);
  const used = { commuter: 0.7, "all-year car": 0.85 } as Partial<Record<RiderHabit, number>>;
  const steady = habit === "commuter" || habit === "all-year car";
  return {
    habit,
    kind,
    perDay,
    weather: steady ? 0.3 * random() : 0.4 + 0.6 * random(),
    used: used[habit] ?? 0.15 + 0.4 * random(),
    wander: 0.1 + 0.2 * random(),
  };
}

function kindOf(habit: RiderHabit, random: () => number): VehicleKind {
  const draw = random();
  if (habit === "all-year car") return draw < 0.8 ? "car" : "van";
  if (habit !== "commuter") return draw < 0.9 ? "motorcycle" : "quad";
  return draw < 0.4 ? "motorcycle" : draw < 0.6 ? "moped" : draw < 0.8 ? "bicycle" : "eScooter";
}

/** Winter lay-ups, each year begun and ended some weeks early or late. */
function layUpsOf({ habit }: Character, random: () => number): LayUpDays[] {
  if (habit !== "winter lay-up") return [];
  return [0, 365, 730].map((year) => {
    const from = Math.floor(START + year + WINTER_FROM + 15 * normal(random));
    return { from, to: Math.floor(from + WINTER_DAYS + 15 * normal(random)) };
  });
}

/** The total at every midnight. */
function ridden(
  character: Character,
  layUps: readonly LayUpDays[],
  random: () => number,
): Series["truth"] {
  let km = 40_000 * random() * random();
  let stopped = 0;
  let trip = 0;
  let drift = 0;
  const changes = character.habit === "habit change" ? changesOf(random) : [];
  const truth = [{ day: START, km }];
  for (let day = 0; day < DAYS; day += 1) {
    drift += (character.wander * normal(random)) / Math.sqrt(365);
    stopped = stopped > 0 ? stopped - 1 : stopOf(character.habit, random);
    trip = trip > 0 ? trip - 1 : tripOf(character.habit, random);
    const laidUp = layUps.some(({ from, to }) => START + day >= from && START + day < (to ?? 0));
    const change = changes.findLast(({ at }) => at <= day)?.factor ?? 1;
    if (!laidUp && stopped === 0) {
      const pace = character.perDay * change * Math.exp(drift) * season(day, character.weather);
      km += trip > 0 ? (3 + 4 * random()) * 60 : dayOf(character, day, pace, random);
    }
    truth.push({ day: START + day + 1, km });
  }
  return truth;
}

function dayOf({ habit, used }: Character, day: number, pace: number, random: () => number) {
  const weekend = day % 7 > 4;
  if (habit === "commuter" || habit === "all-year car") {
    const usual = weekend ? 0.5 : 1.2;
    return random() < used ? ((usual * pace) / used) * (0.7 + 0.6 * random()) : 0;
  }
  // Two days in seven carry most of the riding of someone who rides for pleasure.
  const chance = Math.min(0.95, used * (weekend ? 2.2 : 0.5));
  return random() < chance ? (pace / used) * exponential(random) : 0;
}

/** Mean 1 over the year at any weight. */
function season(day: number, weather: number): number {
  return 1 - weather * Math.cos((2 * Math.PI * (day - 15)) / 365.25);
}

/** Days that a machine now comes to stand: broken, sold to a brother, the rider away; mostly none. */
function stopOf(habit: RiderHabit, random: () => number): number {
  const perYear = habit === "stops and starts" ? 1.5 : habit === "all-year car" ? 0.1 : 0.25;
  if (random() > perYear / 365) return 0;
  return Math.floor(14 + 60 * (random() ** (-1 / 1.3) - 1));
}

function tripOf(habit: RiderHabit, random: () => number): number {
  const perYear = habit === "tourer" ? 3 : habit === "commuter" ? 0.1 : 0.5;
  return random() > perYear / 365 ? 0 : 3 + Math.floor(10 * random());
}

/** One or two lasting changes: another job, another flat, another machine beside it. */
function changesOf(random: () => number): { at: number; factor: number }[] {
  const first = 250 + 500 * random();
  const factor = Math.exp(1.1 * normal(random));
  const changes = [{ at: first, factor }];
  if (random() < 0.4) changes.push({ at: first + 150 + 200 * random(), factor: 1 });
  return changes;
}
