/**
 * Quantile of the Lomax (Pareto II) law of scale 1: (1 - p)^(-1/shape) - 1. It is the beta-prime law
 * with parameters 1 and shape; shape times the quantile is that of Fisher's F with 2 and 2 x shape
 * degrees of freedom.
 * @param p in [0, 1)
 * @param shape above 0
 */
export function lomaxQuantile(p: number, shape: number): number {
  return (1 - p) ** (-1 / shape) - 1;
}
