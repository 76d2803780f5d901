import type { VehicleKind } from "../../../src/domain/usage/kind.ts";

/** Readings of one invented machine, in time order: days after the start and whole km shown. */
export interface SimulatedRider {
  kind: VehicleKind;
  readings: { day: number; km: number }[];
}

const HABITS = ["commuter", "weekend", "tourer", "winter", "change", "sparse"] as const;

/** The seed's rider: one of six habits, two years of daily distances, read at odd times. */
export function simulatedRider(seed: number): SimulatedRider {
  const random = seeded(seed);
  const habit = HABITS[seed % HABITS.length] ?? "commuter";
  const kind: VehicleKind = habit === "commuter" && random() < 0.5 ? "car" : "motorcycle";
  const perDay = 10 + 25 * random();
  const every = habit === "sparse" ? 90 : 10 + 25 * random();
  let km = Math.floor(30_000 * random());
  let trip = 0;
  let next = 0;
  const readings: SimulatedRider["readings"] = [];
  for (let day = 0; day < 730; day++) {
    const noise = -Math.log(1 - random());
    const weekend = day % 7 > 4;
    const winter = day % 365 < 75 || day % 365 > 310;
    if (trip === 0 && habit === "tourer" && random() < 0.01) trip = 5 + Math.floor(8 * random());
    if (trip > 0) trip--;
    if (habit === "commuter")
      km += weekend ? 0.3 * perDay * noise : perDay * (0.8 + 0.4 * random());
    else if (habit === "weekend" || habit === "sparse")
      km += weekend && random() < 0.6 ? 5 * perDay * noise : 0;
    else if (habit === "tourer") km += trip > 0 ? 250 + 250 * random() : 0.4 * perDay * noise;
    else if (habit === "winter") km += winter ? 0 : perDay * noise;
    else km += (day < 365 ? 0.4 : 1.6) * perDay * noise;
    if (day >= next) {
      readings.push({ day: day + random() * 0.5, km: Math.floor(km) });
      next = day + 1 - every * Math.log(1 - random());
    }
  }
  return { kind, readings };
}

/**
 * Evenly spread numbers in (0, 1), the same for the same seed: the multiplicative congruential
 * generator with modulus 2^31 - 1 and multiplier 48271 (Park, Miller and Stockmeyer 1993, from
 * memory). Its first numbers still follow the seed, so they are passed over.
 */
export function seeded(seed: number): () => number {
  let state = seed;
  const next = () => {
    state = (state * 48_271) % 2_147_483_647;
    return state / 2_147_483_647;
  };
  for (let skipped = 0; skipped < 10; skipped++) next();
  return next;
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
