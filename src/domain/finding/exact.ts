/**
 * Figures are compared as whole ticks, so that two leaves of 0.1 and 0.15 mm are exactly 0.25 mm
 * and a figure that stands on its limit is judged as standing on it. A tick is a nanometre for a
 * length, a millionth of the unit for anything else: a thousand times finer than any instrument
 * used here reads, and still exact in a double up to nine million millimetres.
 */
export const TICKS_PER_MM = 1_000_000;

/** 1 in = 25.4 mm exactly (NIST SP 811, appendix B.8). */
const TICKS_PER_UNIT: Record<string, number> = { mm: TICKS_PER_MM, in: 25.4 * TICKS_PER_MM };

/** Whether the figures of that unit can be held against leaves, which are marked in mm. */
export function isLengthUnit(unit: string): boolean {
  return Object.hasOwn(TICKS_PER_UNIT, unit);
}

/** The figure as a whole number of ticks, to the nearest. */
export function toTicks(figure: number, unit: string): number {
  return Math.round(figure * (TICKS_PER_UNIT[unit] ?? 1_000_000));
}

/** The figure in the unit that these ticks stand for: the double nearest to it. */
export function fromTicks(ticks: number, unit: string): number {
  return ticks / (TICKS_PER_UNIT[unit] ?? 1_000_000);
}
