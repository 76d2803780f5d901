import betainc from "@stdlib/math-base-special-betainc";
import type { Evidence } from "./forgotten.ts";
import type { DistanceLaw } from "./naive-method.ts";

/**
 * What is believed of a gamma process: the distance of t days is Gamma(shapePerDay x t, beta), and
 * beta itself is Gamma(shape, km). The mean rate is about shapePerDay x km / shape.
 */
export interface GammaRate {
  readonly shapePerDay: number;
  readonly shape: number;
  readonly km: number;
}

/** With it the standard deviation of ln(beta), the root of trigamma(2.5) = 0.490, is 0.70. */
const PRIOR_SHAPE = 2.5;

/** A belief about `rate` (km per day) before any interval is seen; all above 0. */
export function priorGammaRate(rate: number, shapePerDay: number): GammaRate {
  return { shapePerDay, shape: PRIOR_SHAPE, km: (PRIOR_SHAPE * rate) / shapePerDay };
}

/** The belief after distance was seen: conjugate, so both parameters only add up (from memory). */
export function seen({ shapePerDay, shape, km }: GammaRate, evidence: Evidence): GammaRate {
  return { shapePerDay, shape: shape + shapePerDay * evidence.days, km: km + evidence.km };
}

/** Mean-like rate of a belief, km per day: that of the mean of beta. */
export function rateOf({ shapePerDay, shape, km }: GammaRate): number {
  return (shapePerDay * km) / shape;
}

/**
 * The distance of t days over `km` has a beta-prime law with parameters shapePerDay x t and shape
 * (gamma mixture of gammas, from memory), so it is past `left` with the probability
 * I_x(shape, shapePerDay x t), x = km / (km + left): incomplete beta function, DLMF 8.17.
 */
export function betaPrimeLaw({ shapePerDay, shape, km }: GammaRate): DistanceLaw {
  return (left) => {
    const x = km / (km + left);
    return (days) => betainc(x, shape, shapePerDay * days);
  };
}
