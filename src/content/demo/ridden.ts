import { typicalSeason } from "../../domain/usage/season.ts";
import type { DemoMachine } from "./machines.ts";

/** A day on which the meter was read, counted back from the day of loading. */
export interface ReadDay {
  daysAgo: number;
  total: number;
  hours: number;
}

/** Numbers in [0, 1) that are the same at every loading (mulberry32). */
export function numbersFrom(seed: number): () => number {
  let state = seed >>> 0;
  return () => {
    state = (state + 0x6d2b79f5) >>> 0;
    let mixed = Math.imul(state ^ (state >>> 15), state | 1);
    mixed ^= mixed + Math.imul(mixed ^ (mixed >>> 7), mixed | 61);
    return ((mixed ^ (mixed >>> 14)) >>> 0) / 4_294_967_296;
  };
}

const KM_PER_HOUR = 24;

/**
 * Two years of use of an invented machine: rides on some days, longer ones now and then, by the
 * season of its kind, none while laid up; read at odd intervals and rounded to whole units.
 */
export function ridden(
  machine: DemoMachine,
  monthOf: (daysAgo: number) => number,
  random: () => number,
): ReadDay[] {
  const season = typicalSeason(machine.kind, false);
  const days: ReadDay[] = [];
  let total = 3;
  let nextReading = machine.newFor;
  for (let daysAgo = machine.newFor; daysAgo >= 1; daysAgo -= 1) {
    const share = 1 - machine.seasonal + machine.seasonal * (season[monthOf(daysAgo)] ?? 1);
    if (!isLaidUp(machine, daysAgo)) total += dayOf(machine.perYear / 365, share, random);
    if (daysAgo <= nextReading && !isLaidUp(machine, daysAgo)) {
      const whole = Math.round(total);
      days.push({ daysAgo, total: whole, hours: Math.round((whole / KM_PER_HOUR) * 10) / 10 });
      nextReading = daysAgo - Math.max(3, Math.round(machine.readEvery * (0.4 + 1.2 * random())));
    }
  }
  return days;
}

function isLaidUp({ layUp }: DemoMachine, daysAgo: number): boolean {
  if (!layUp) return false;
  return daysAgo <= layUp.fromDaysAgo && (layUp.toDaysAgo === null || daysAgo > layUp.toDaysAgo);
}

/** Two days in five it is ridden; one ride in fifteen is a long one. */
function dayOf(mean: number, share: number, random: () => number): number {
  if (random() > 0.4) return 0;
  const long = random() < 1 / 15 ? 5 : 1;
  return mean * share * 2 * (0.4 + 1.2 * random()) * long * 0.98;
}
