import { isFourWheeled } from "./habit.ts";
import type { VehicleKind } from "./kind.ts";

/**
 * How fast distance is ridden in each twelfth of the year, the first beginning with 1 January;
 * the mean is 1. A twelfth is a twelfth of the mean Gregorian year, not a calendar month.
 */
export type Season = readonly number[];

/** Mean Gregorian year, days: 97 leap days in 400 years. */
export const DAYS_PER_YEAR = 365.2425;

/** The same speed all the year round. */
export const NO_SEASON: Season = new Array<number>(12).fill(1);

/**
 * Season of a kind before its own readings speak. Common practice and the trial in which the
 * forecast was made, no single source: motorcycles, mopeds and quads follow the weather; eScooters
 * and bicycles half as much, being ridden to work; cars, vans and campers hardly.
 * @param south whether the machine lives south of the equator, where the year is turned by half.
 */
export function typicalSeason(kind: VehicleKind, south: boolean): Season {
  const season = northernSeason(kind);
  return south ? season.map((_, twelfth) => season[(twelfth + 6) % 12] ?? 1) : season;
}

/** The same proportions with a mean of 1. */
export function withMeanOne(season: Season): Season {
  let sum = 0;
  for (const share of season) sum += share;
  const mean = sum / season.length;
  return season.map((share) => share / mean);
}

const RIDING = withMeanOne([3.3, 3.6, 6.0, 8.6, 11.0, 12.0, 13.0, 12.5, 11.0, 8.5, 6.0, 4.5]);
const DRIVING = withMeanOne([0.9, 0.88, 1.02, 0.98, 1.05, 1.06, 1.06, 1.08, 1.04, 1.0, 0.97, 0.96]);
const COMMUTING = RIDING.map((share) => 0.5 + 0.5 * share);

function northernSeason(kind: VehicleKind): Season {
  if (isFourWheeled(kind)) return DRIVING;
  if (kind === "motorcycle" || kind === "moped" || kind === "quad") return RIDING;
  return kind === "other" ? NO_SEASON : COMMUTING;
}
