/** Kilometres in one international mile, exactly (5280 ft of 0.3048 m; NIST SP 811, appendix B.8). */
export const KM_PER_MI = 1.609344;

export type DistanceUnit = "km" | "mi";

/** Converts a distance; a distance already in the wanted unit comes back untouched, bit for bit. */
export function convertDistance(value: number, from: DistanceUnit, to: DistanceUnit): number {
  if (from === to) return value;
  return from === "mi" ? value * KM_PER_MI : value / KM_PER_MI;
}

/** The value rounded to 0.1 of its unit, the form in which distances are told to a caller. */
export function toTenth(value: number): number {
  return Math.round(value * 10) / 10;
}
