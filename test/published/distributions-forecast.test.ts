import betainc from "@stdlib/math-base-special-betainc";
import gammainc from "@stdlib/math-base-special-gammainc";
import { describe, expect, it } from "vitest";
import { lomaxQuantile } from "../../src/domain/forecast/lomax.ts";
import { logistic } from "../../src/domain/forecast/mixture.ts";

describe("the wait of a parked machine (Lomax law)", () => {
  it("agrees with the printed F table: upper 5 % point of F with 2 and 10 degrees of freedom is 4.103", () => {
    // NIST/SEMATECH e-Handbook of Statistical Methods 1.3.6.7.3; digits from memory.
    expect(5 * lomaxQuantile(0.95, 5)).toBeCloseTo(4.103, 3);
  });

  it("agrees with the exact upper 5 % point 20^(1/5) - 1 of the beta-prime law with 1 and 5", () => {
    // Plain arithmetic: 1 - (1 + x)^-5 = 0.95.
    expect(lomaxQuantile(0.95, 5)).toBeCloseTo(0.8205642, 7);
    expect(lomaxQuantile(1 - 1.1 ** -3, 3)).toBeCloseTo(0.1, 12);
  });

  it("agrees with the incomplete beta function of a kept library", () => {
    // Beta-prime distribution function, DLMF 8.17: I_x/(1+x)(1, shape); @stdlib/math-base-special-betainc 0.2.3.
    for (const shape of [0.7, 1.5, 4]) {
      for (const p of [1 / 8, 3 / 8, 5 / 8, 7 / 8, 0.999]) {
        const x = lomaxQuantile(p, shape);
        expect(betainc(x / (1 + x), 1, shape)).toBeCloseTo(p, 12);
      }
    }
  });
});

describe("the logistic law in place of the normal one", () => {
  it("stays within 0.01 of it everywhere", () => {
    // The bound is common knowledge of item response theory (0.0095 for the slope 1.702), from memory.
    // Normal distribution function by P(1/2, z^2/2), @stdlib/math-base-special-gammainc 0.3.1.
    for (let z = 0; z <= 6; z += 0.01) {
      const normal = (1 + gammainc((z * z) / 2, 0.5)) / 2;
      expect(Math.abs(logistic(z) - normal)).toBeLessThan(0.01);
      expect(logistic(-z)).toBeCloseTo(1 - logistic(z), 12);
    }
  });

  it("gives 0.84 one standard deviation out, where the normal one has 0.8413", () => {
    // Phi(1) = 0.8413447460685429, tables of the normal distribution; digits from memory.
    expect(Math.abs(logistic(1) - 0.8413447460685429)).toBeLessThan(0.01);
  });
});
