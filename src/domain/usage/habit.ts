import type { VehicleKind } from "./kind.ts";

/**
 * What is assumed of a kind of machine before its own readings speak, and how fast they are
 * believed. The figures are few, round and shared on purpose: they were chosen by the log score of
 * forecasts on real and simulated series, and tuning each one freely fitted the trial and failed
 * outside it. One set for all kinds was clearly worse for cars or for two-wheelers.
 */
export interface Habit {
  /** Weight of the typical season against the machine's own, in days seen per twelfth of a year. */
  readonly seasonDays: number;
  /**
   * Half-life (calendar days) of what was ridden just now, and the clock days of evidence that
   * this season's habit weighs against it. Null where "now" adds nothing to this season's habit.
   */
  readonly now: { readonly halfLife: number; readonly priorDays: number } | null;
  /** Half-life of this season's habit, calendar days. */
  readonly seasonHalfLife: number;
  /** Half-life of the rate that the machine tends to go back to, calendar days. */
  readonly longHalfLife: number;
  /** Clock days of evidence that the expected rate weighs against what was ridden of late. */
  readonly priorDays: number;
  /**
   * Clock days that the kind's rate weighs in that expectation against all that the machine has
   * ever been ridden; null where the kind alone is expected.
   */
  readonly kindDays: number | null;
  /** Scatter expected before any interval was seen, in days; large means irregular. */
  readonly scatter: number;
}

const FOUR_WHEELS: Habit = {
  seasonDays: 150,
  now: null,
  seasonHalfLife: 300,
  longHalfLife: 150,
  priorDays: 50,
  kindDays: 150,
  scatter: 10,
};

const OTHERS: Habit = {
  seasonDays: 1200,
  now: { halfLife: 8, priorDays: 5 },
  seasonHalfLife: 120,
  longHalfLife: 25,
  priorDays: 60,
  kindDays: 1000,
  scatter: 40,
};

/** Kinds that are used all the year round and steadily: cars, vans and campers. */
export function isFourWheeled(kind: VehicleKind): boolean {
  return kind === "car" || kind === "van" || kind === "camper";
}

export function habitOf(kind: VehicleKind): Habit {
  return isFourWheeled(kind) ? FOUR_WHEELS : OTHERS;
}
