import { logistic } from "../../../domain/forecast/mixture.ts";

/**
 * The law of a rider of one rate (km per day, above 0): `left` km are reached at a log-logistic
 * time with median left / rate; `spread` (above 0) is about the standard deviation of its
 * logarithm. Formula: the log-logistic distribution function, from memory.
 */
export function logLogistic(rate: number, spread: number) {
  return (left: number) => (days: number) => logistic(Math.log((rate * days) / left) / spread);
}
