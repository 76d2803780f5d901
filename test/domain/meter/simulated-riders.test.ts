import { describe, expect, it } from "vitest";
import { added, type Counts, NONE, postAll } from "./post-all.ts";
import { HABITS, type Habit, simulatedRider } from "./simulated.ts";

const seeds = (from: number, to: number, step = 1) =>
  Array.from({ length: Math.floor((to - from) / step) + 1 }, (_, i) => from + i * step);

const posted = (share: number, of: readonly number[]) =>
  of.map((seed) => {
    const rider = simulatedRider(seed);
    return { habit: rider.habit, counts: postAll(rider, share, seed) };
  });

const summed = (all: readonly { counts: Counts }[]) =>
  all.reduce((sum, { counts }) => added(sum, counts), NONE);

const MOST_HELD = 1 / 500;

describe.each([
  ["240 simulated riders of seven habits over two years", seeds(1, 240)],
  ["480 others", seeds(10_001, 10_480)],
])("%s, three readings in ten slipping first", (_, of) => {
  const all = posted(0.3, of);
  const counts = summed(all);
  it("are held at no more than one honest reading in 500", () => {
    expect(counts.honest).toBeGreaterThan(5000);
    expect(counts.honestHeld / counts.honest).toBeLessThanOrEqual(MOST_HELD);
  });
  it("are held at once at 95 % of the slips that matter, and at 98 % by the second reading after", () => {
    expect(counts.slips).toBeGreaterThan(1000);
    expect(counts.slipsHeld / counts.slips).toBeGreaterThanOrEqual(0.95);
    expect(counts.slipsMet / counts.slips).toBeGreaterThanOrEqual(0.98);
  });
});

describe("riders of one habit", () => {
  it.each(HABITS.map((habit) => [habit, HABITS.indexOf(habit)] as const))(
    "%s: no more than one honest reading in 500 is held, however many slips are never settled",
    (habit: Habit, index) => {
      const all = posted(0.2, seeds(20_000 + index - (20_000 % HABITS.length), 22_100, 7));
      expect(all.every((one) => one.habit === habit)).toBe(true);
      const { honest, honestHeld } = summed(all);
      expect(honest).toBeGreaterThan(1000);
      expect(honestHeld / honest).toBeLessThanOrEqual(MOST_HELD);
    },
  );
});
