import type { VehicleKind } from "../usage/kind.ts";

/**
 * Distance that no machine of the kind runs in a day, km: a whole day's ride at a steady high speed.
 * Common practice, no source.
 */
const MOST_KM_A_DAY: Record<VehicleKind, number> = {
  motorcycle: 2000,
  moped: 700,
  eScooter: 400,
  bicycle: 500,
  quad: 1000,
  car: 2400,
  van: 2400,
  camper: 2000,
  other: 2400,
};

/** The least span over which a speed is judged: readings minutes apart are rounded to whole units. */
const LEAST_DAYS = 0.25;

export function mostKmIn(days: number, kind: VehicleKind): number {
  return MOST_KM_A_DAY[kind] * Math.max(days, LEAST_DAYS);
}

export function mostHoursIn(days: number): number {
  return 24 * Math.max(days, LEAST_DAYS) + 1;
}
