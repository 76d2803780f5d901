import type { VehicleKind } from "./kind.ts";

/**
 * Distance a year (km) of a machine of which nothing was declared. Common practice and the trial in
 * which the forecast was made, no single source; readings outweigh it within weeks.
 */
const KM_PER_YEAR: Readonly<Record<VehicleKind, number>> = {
  car: 13_000,
  van: 15_000,
  camper: 10_000,
  motorcycle: 4000,
  moped: 2500,
  eScooter: 4000,
  bicycle: 2000,
  quad: 1500,
  other: 1500,
};

const DAYS_PER_YEAR = 365.25;

/** Whether a declared yearly distance says anything: a figure of 0 is taken as none. */
export function isDeclared(kmPerYear: number | undefined): kmPerYear is number {
  return kmPerYear !== undefined && kmPerYear > 0;
}

/** Rate before any reading, km per clock day: what was declared, else the kind's. Above 0. */
export function priorRate(kind: VehicleKind, declaredKmPerYear: number | undefined): number {
  const kmPerYear = isDeclared(declaredKmPerYear) ? declaredKmPerYear : KM_PER_YEAR[kind];
  return kmPerYear / DAYS_PER_YEAR;
}
