import gammainc from "@stdlib/math-base-special-gammainc";
import { describe, expect, it } from "vitest";
import { crps, LOG_OFFSET } from "../../src/commands/backtest/score.ts";

/** Normal distribution function by P(1/2, z^2/2), @stdlib/math-base-special-gammainc 0.3.1. */
const normal = (z: number) => (1 + Math.sign(z) * gammainc((z * z) / 2, 0.5)) / 2;
const density = (z: number) => Math.exp((-z * z) / 2) / Math.sqrt(2 * Math.PI);
const seen = (days: number) => ({ days, seen: true });
const CAP = 3650;

describe("the continuous ranked probability score of the days", () => {
  it("is that of the normal law in closed form", () => {
    // Gneiting and Raftery 2007, JASA 102, section 4.2, as a loss: s {z (2 Phi(z) - 1) + 2 phi(z) - 1/sqrt(pi)}.
    const closed = (mean: number, s: number, y: number) => {
      const z = (y - mean) / s;
      return s * (z * (2 * normal(z) - 1) + 2 * density(z) - 1 / Math.sqrt(Math.PI));
    };
    for (const [mean, s, y] of [
      [100, 15, 80],
      [100, 15, 131],
      [400, 60, 400],
      [200, 20, 260],
    ] as const) {
      const { days } = crps((day) => normal((day - mean) / s), seen(y), CAP);
      expect(days).toBeCloseTo(closed(mean, s, y), 2);
    }
    // The formula itself, worked out for N(100, 15^2) at 80 with a reference library.
    expect(closed(100, 15, 80)).toBeCloseTo(12.809009698028747, 9);
  });

  it("is that of the gamma law in closed form", () => {
    // Scheuerer and Moeller 2015, Annals of Applied Statistics 9, formula from memory: shape 5, scale 100, at 350.
    const law = (day: number) => (day <= 0 ? 0 : gammainc(day / 100, 5));
    expect(crps(law, seen(350), CAP).days).toBeCloseTo(76.7552107790552, 2);
  });

  it("is the absolute error of a law that is certain, and twice the mean quantile loss of any", () => {
    // Both from Gneiting and Raftery 2007; the quantile-loss identity by plain summation.
    expect(crps((day) => (day < 50 ? 0 : 1), seen(80), CAP).days).toBeCloseTo(30, 0);
    const quantile = (p: number) => 100 * (p / (1 - p)) ** 0.25;
    const y = 130;
    let loss = 0;
    const steps = 20_000;
    for (let i = 0; i < steps; i += 1) {
      const p = (i + 0.5) / steps;
      const q = quantile(p);
      loss += (y < q ? (1 - p) * (q - y) : p * (y - q)) / steps;
    }
    const law = (day: number) => (day <= 0 ? 0 : 1 / (1 + (day / 100) ** -4));
    expect(crps(law, seen(y), CAP).days).toBeCloseTo(2 * loss, 1);
  });
});

describe("the score of the logarithm", () => {
  it("is that of the normal law of ln(days + 14)", () => {
    // The closed form above, on the logarithm.
    const [mean, s, y] = [5, 0.3, 5.2];
    const z = (y - mean) / s;
    const closed = s * (z * (2 * normal(z) - 1) + 2 * density(z) - 1 / Math.sqrt(Math.PI));
    const law = (day: number) => normal((Math.log(day + LOG_OFFSET) - mean) / s);
    expect(crps(law, seen(Math.exp(y) - LOG_OFFSET), CAP).log).toBeCloseTo(closed, 5);
  });
});
