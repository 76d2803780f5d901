import { describe, expect, it } from "vitest";
import { lendingOfFleets } from "../../../src/commands/backtest/fleets.ts";
import { NAIVE_METHODS } from "../../../src/commands/backtest/naive/all.ts";
import { FIRST_RECIPE, FOREWHEEL } from "../../../src/commands/backtest/product.ts";
import { linesOf } from "../../../src/commands/backtest/report.ts";
import { simulatedRider } from "../../../src/commands/backtest/riders.ts";
import { runBacktest, stepsOf } from "../../../src/commands/backtest/run.ts";
import { seriesOf } from "../../../src/commands/backtest/series-file.ts";

const METHODS = [...NAIVE_METHODS.slice(0, 4), FIRST_RECIPE, FOREWHEEL];
const riders = Array.from({ length: 48 }, (_, n) => simulatedRider(n + 1));
const file = seriesOf(
  "short.csv",
  "date,km\n2026-01-03,1200\n2026-02-14,1460\n2026-03-20,1910\n2026-05-01,2890\n",
  "motorcycle",
);

describe("the backtest", async () => {
  let steps = 0;
  const count = () => {
    steps += 1;
  };
  const report = await runBacktest(METHODS, [...riders, file], count);
  const [all] = report.groups;
  const rowOf = (name: string) => all!.rows.find(({ method }) => method === name)!;

  it("takes the steps that its progress bar counts", () => {
    expect(steps).toBe(stepsOf(METHODS, [...riders, file]));
  });

  it("tells of all riders, of each habit and of each file", () => {
    expect(report.groups.map(({ title, series }) => [title, series])).toEqual([
      ["Simulated riders", 48],
      ["Simulated: weekend rider", 6],
      ["Simulated: tourer", 6],
      ["Simulated: winter lay-up", 6],
      ["Simulated: habit change", 6],
      ["Simulated: sparse poster", 6],
      ["Simulated: stops and starts", 6],
      ["Simulated: all-year car", 6],
      ["Simulated: commuter", 6],
      ["short.csv", 1],
    ]);
  });

  it("compares every method with the overall average", () => {
    expect(rowOf("overall average").toAverage).toBe(1);
    for (const row of all!.rows) {
      const [low, high] = row.toAverageRange;
      expect(low).toBeLessThanOrEqual(row.toAverage);
      expect(high).toBeGreaterThanOrEqual(row.toAverage);
      expect(row.covered + row.below + row.above).toBeCloseTo(1, 12);
      expect(row.inTime + row.tooEarly + row.tooLate).toBeCloseTo(1, 12);
    }
  });

  it("finds the product ahead of the plain methods and of the first recipe", () => {
    const product = rowOf("Forewheel");
    for (const row of all!.rows.slice(0, -1)) {
      expect(product.log, row.method).toBeLessThan(row.log);
    }
  });

  it("counts the reliability of what was believed of the next 21 days", () => {
    const { reliability } = all!;
    expect(reliability).toHaveLength(10);
    for (const { from, to, believed, count: seen } of reliability.filter((bin) => bin.count > 0)) {
      expect(believed).toBeGreaterThanOrEqual(from);
      expect(believed).toBeLessThanOrEqual(to);
      expect(seen).toBeGreaterThan(0);
    }
  });

  it("prints a table for each group, and no figure that was not measured", () => {
    const lines = linesOf(report);
    expect(lines.filter((line) => line.startsWith("## "))).toHaveLength(10);
    expect(lines.filter((line) => line.startsWith("| Forewheel"))).toHaveLength(10);
    expect(lines.join("\n")).not.toMatch(/NaN|undefined|Infinity/);
    expect(lines).toContain("No due point could be judged in the closed loop.");
  });

  it("comes out the same again, bit for bit", async () => {
    const few = riders.slice(0, 4);
    const once = await runBacktest(METHODS, few, () => {});
    expect(await runBacktest(METHODS, few, () => {})).toEqual(once);
  });
});

describe("a machine that is new in a simulated fleet", () => {
  it("is forecast better with what the fleet lends", () => {
    const { origins, alone, lent } = lendingOfFleets();
    expect(origins).toBe(200);
    expect(lent).toBeLessThan(0.95 * alone);
  });
});
