import { KM_PER_MI } from "./distance.ts";

/** Millimetres in one international inch, exactly (NIST SP 811, appendix B.8). */
export const MM_PER_IN = 25.4;

/** The largest share of a whole figure that its trailing zeros may have swallowed. */
const COARSEST_ROUNDING = 0.05;

/**
 * Whether a printed pair of distances differs by more than rounding explains; both above 0.
 * "1000 km or 600 mi" and "12000 km or 8000 mi" agree; "1000 km or 6000 mi" does not, nor does
 * one figure that was entered for both units.
 */
export function pairDisagrees(km: number, mi: number): boolean {
  return figuresDisagree(km, mi, KM_PER_MI);
}

/** Whether a printed pair of lengths differs by more than rounding explains; both above 0. */
export function lengthPairDisagrees(mm: number, inches: number): boolean {
  return figuresDisagree(mm, inches, MM_PER_IN);
}

/**
 * Whether no quantity exists that both printed figures can be roundings of; both above 0.
 * `factor` is how many units of the first make one of the second.
 *
 * A figure stands for everything within half a unit of its last digit that is not a trailing zero.
 * In a whole number with trailing zeros nobody can tell which of them are meant, so there the half
 * unit is at most 5 % of the figure. A figure spans at most from 0.5 to 1.5 times itself, so that a
 * decimal point slipped by one place is always found.
 */
export function figuresDisagree(first: number, second: number, factor: number): boolean {
  const a = meantBy(first);
  const b = meantBy(second);
  return a.most < b.least * factor || b.most * factor < a.least;
}

function meantBy(figure: number): { least: number; most: number } {
  const [mantissa = "", exponent = "0"] = figure.toExponential().split("e");
  const decimals = mantissa.split(".")[1]?.length ?? 0;
  const lastPlace = Number(exponent) - decimals;
  const half = 0.5 * 10 ** lastPlace;
  const slack = lastPlace > 0 ? Math.max(0.5, Math.min(half, COARSEST_ROUNDING * figure)) : half;
  return { least: figure - slack, most: figure + slack };
}
