import { describe, expect, it } from "vitest";
import { firstCharacterOf } from "../../../src/commands/backtest/first-recipe.ts";
import { fit as lawFrom } from "../../../src/domain/forecast/fit.ts";
import {
  historyOf,
  REFERENCE_MACHINES,
  type ReferenceMachine,
} from "../../support/reference-machines.ts";

const probability = (name: string) => Number(name.slice(1)) / 100;

function lawOfCase(machine: ReferenceMachine) {
  return lawFrom(historyOf(machine), firstCharacterOf(machine.input.kind))!;
}

/**
 * By the first recipe, with the figures of two implementations of it that were written independently
 * of this one and of each other. Tolerances are the ones stated with them: 0.05 day or 0.1 % for a
 * date, 1e-6 for a probability, 0.5 km for the meter; inner figures to the printed digits.
 */
describe("forty machines computed independently", () => {
  it("are all here", () => expect(REFERENCE_MACHINES).toHaveLength(40));

  it.each(REFERENCE_MACHINES)("$id: dates, probability and meter agree", (one) => {
    const law = lawOfCase(one);
    const { asOf, threshold } = one.input;
    const names = Object.keys(one.expected.days);
    const days = law.daysReached(threshold, names.map(probability));
    names.forEach((name, i) => {
      const expected = one.expected.days[name]!;
      const tolerance = Math.max(0.05, 0.001 * Math.abs(expected));
      expect(Math.abs(days[i]! - asOf - expected), name).toBeLessThanOrEqual(tolerance);
      const alone = law.dayReached(threshold, probability(name))!;
      expect(Math.abs(alone - asOf - expected), name).toBeLessThanOrEqual(tolerance);
    });
    expect(Math.abs(law.reachedBy(threshold, asOf + 21) - one.expected.p21)).toBeLessThan(1e-6);
    for (const [name, total] of Object.entries(one.expected.odometer)) {
      expect(Math.abs(law.totalToday(probability(name)) - total), name).toBeLessThan(0.5);
    }
  });

  it.each(REFERENCE_MACHINES)("$id: inner figures agree to the printed digits", (one) => {
    const inner: Record<string, number> = { ...lawOfCase(one).inner };
    for (const [name, expected] of Object.entries(one.intermediate)) {
      const off = Math.abs((inner[name] ?? Number.NaN) - expected);
      expect(off, name).toBeLessThanOrEqual(1e-8 * Math.max(1, Math.abs(expected)) * 5);
    }
  });
});
