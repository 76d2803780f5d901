import { describe, expect, it } from "vitest";
import { productLoop } from "../../../src/commands/backtest/asking-loop.ts";
import {
  duesOf,
  emptyLoop,
  judge,
  type Loop,
  plainLoop,
} from "../../../src/commands/backtest/closed-loop.ts";
import { FOREWHEEL } from "../../../src/commands/backtest/product.ts";
import { simulatedRider } from "../../../src/commands/backtest/riders.ts";
import type { Series } from "../../../src/commands/backtest/series.ts";

/** 30 km every day for two years, read each tenth day or not at all after the first month. */
function steady(readUntil: number): Series {
  const truth = Array.from({ length: 731 }, (_, day) => ({ day: 20_000 + day, km: 30 * day }));
  const posted = truth.filter(({ day }) => day % 10 === 0 && day <= 20_000 + readUntil);
  return { name: "steady", group: "steady", kind: "motorcycle", posted, layUps: [], truth };
}

describe("the closed loop", () => {
  it("judges a first reminder by the days that it comes ahead", () => {
    const due = { target: 3000, from: 0, passed: 100, end: 700 };
    const told = (spoke: number | null) => {
      const loop = emptyLoop();
      judge(loop, due, spoke);
      return [loop.dues, loop.inTime, loop.tooEarly, loop.tooLate];
    };
    expect(told(80)).toEqual([1, 1, 0, 0]);
    expect(told(40)).toEqual([1, 1, 0, 0]);
    expect(told(39)).toEqual([1, 0, 1, 0]);
    expect(told(94)).toEqual([1, 0, 0, 1]);
    expect(told(null)).toEqual([1, 0, 0, 1]);
  });

  it("judges of a due point that was not passed only what is already too early", () => {
    const due = { target: 3000, from: 0, passed: null, end: 100 };
    const told = (spoke: number | null) => {
      const loop = emptyLoop();
      judge(loop, due, spoke);
      return [loop.dues, loop.tooEarly, loop.days];
    };
    expect(told(90)).toEqual([0, 0, 100]);
    expect(told(null)).toEqual([0, 0, 100]);
    expect(told(30)).toEqual([1, 1, 100]);
  });

  it("has a due point each service interval", () => {
    expect(duesOf(steady(730)).map(({ target }) => target)).toEqual([
      3000, 6000, 9000, 12_000, 15_000, 18_000, 21_000, 24_000,
    ]);
  });

  it("speaks in time to a steady rider who posts, by the plain rule and by the product's own", () => {
    const plain = plainLoop(FOREWHEEL, steady(730));
    expect(plain.dues).toBe(7);
    expect(plain.inTime).toBe(7);
    expect(productLoop(steady(730), 1, false).inTime).toBe(7);
  });

  it("asks riders who seldom post, far less than once a month, and speaks in time more often", () => {
    const series = Array.from({ length: 80 }, (_, n) => simulatedRider(n + 1)).map((one) => ({
      ...one,
      posted: one.posted.filter((_, i) => i < 4 || i % 5 === 0),
    }));
    const loops = (asks: boolean) => series.map((one, seed) => productLoop(one, seed, asks));
    const [silent, asking] = [loops(false), loops(true)];
    const sum = (of: Loop[], key: keyof Loop) => of.reduce((total, loop) => total + loop[key], 0);
    const share = (of: Loop[]) => sum(of, "inTime") / sum(of, "dues");
    expect(sum(silent, "asks")).toBe(0);
    expect(sum(asking, "asks")).toBeGreaterThan(50);
    expect(sum(asking, "asks") / sum(asking, "days")).toBeLessThan(1 / 60);
    expect(share(asking)).toBeGreaterThan(share(silent));
  });

  it("comes out the same again", () => {
    const rider = simulatedRider(9);
    expect(productLoop(rider, 9, true)).toEqual(productLoop(rider, 9, true));
  });
});
