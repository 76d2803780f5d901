import { fc, test } from "@fast-check/vitest";
import { describe, expect } from "vitest";
import { countsWithin } from "../../../src/domain/workload/counts-within.ts";
import { type Job, reachedBefore, workload } from "../../../src/domain/workload/workload.ts";

const TODAY = 20_000;
const EDGES = [TODAY, TODAY + 3, TODAY + 10, TODAY + 17];

function job(changes: Partial<Job> = {}): Job {
  const days = { from: TODAY + 5, most: TODAY + 8, to: TODAY + 12 };
  return { ...days, again: null, minutes: 30, waiting: false, ...changes };
}

const certain = (day: number) => ({ from: day, most: day, to: day });

describe("what comes due in a week", () => {
  test("a date is certain, and stands in its week alone", () => {
    const { waiting, weeks } = workload([job(certain(TODAY + 4))], EDGES);
    expect(waiting).toEqual({ jobs: 0, minutes: 0, untimed: 0 });
    expect(weeks.map(({ jobs }) => jobs)).toEqual([0, 1, 0]);
    expect(weeks[1]).toMatchObject({ minutes: 30, untimed: 0, likely: { from: 1, to: 1 } });
  });

  test("a range is shared out by its three quantiles", () => {
    const range = { from: TODAY + 3, most: TODAY + 10, to: TODAY + 17 };
    const { weeks } = workload([job({ ...range, minutes: null })], EDGES);
    const [first, second, third] = weeks.map(({ jobs }) => jobs);
    expect(first).toBeCloseTo(0.1, 10);
    expect(second).toBeCloseTo(0.4, 10);
    expect(third).toBeCloseTo(0.4, 10);
    expect(weeks[1]).toMatchObject({ minutes: 0, likely: { from: 0, to: 1 } });
    expect(weeks[1]?.untimed).toBeCloseTo(0.4, 10);
  });

  test("what comes again counts each time", () => {
    const { weeks } = workload([job({ ...certain(TODAY + 1), again: 4 })], EDGES);
    // Days 1, 5, 9, 13 after today.
    expect(weeks.map(({ jobs }) => jobs)).toEqual([1, 2, 1]);
    expect(weeks[1]?.likely).toEqual({ from: 2, to: 2 });
  });

  test("what waits is told apart, and comes again from today on", () => {
    const jobs = [job({ ...certain(TODAY - 40), again: 9, waiting: true })];
    const { waiting, weeks } = workload(jobs, EDGES);
    expect(waiting).toEqual({ jobs: 1, minutes: 30, untimed: 0 });
    expect(weeks.map((week) => week.jobs)).toEqual([0, 1, 0]);
  });

  test("what should have come due and was not told counts in the first week", () => {
    expect(workload([job(certain(TODAY - 5))], EDGES).weeks[0]?.jobs).toBe(1);
  });

  test("a far end that is not in sight leaves half of it out of sight", () => {
    expect(reachedBefore({ from: 10, most: 20, to: null }, 1e6)).toBe(0.5);
    expect(reachedBefore({ from: 10, most: null, to: null }, 9)).toBe(0);
    expect(reachedBefore({ from: 10, most: null, to: null }, 1e6)).toBe(0.1);
  });
});

const anyJob = fc
  .tuple(
    fc.double({ min: -50, max: 100, noNaN: true }),
    fc.double({ min: 0, max: 60, noNaN: true }),
    fc.double({ min: 0, max: 60, noNaN: true }),
    fc.option(fc.double({ min: 2, max: 400, noNaN: true }), { nil: null }),
    fc.boolean(),
  )
  .map(([start, down, up, again, waiting]) => {
    const from = TODAY + start;
    return job({ from, most: from + down, to: from + down + up, again, waiting });
  });

describe("whatever the jobs", () => {
  test.prop([anyJob, fc.double({ min: -100, max: 300, noNaN: true })])(
    "the quantiles that were told are met, and no chance falls with time",
    (one, later) => {
      if (one.most !== null && one.most - one.from > 0.01) {
        expect(reachedBefore(one, one.from)).toBeCloseTo(0.1, 9);
        expect(reachedBefore(one, one.most)).toBeCloseTo(0.5, 9);
      }
      const day = TODAY + later;
      expect(reachedBefore(one, day + 1)).toBeGreaterThanOrEqual(reachedBefore(one, day));
    },
  );

  test.prop([fc.array(anyJob, { maxLength: 12 })])(
    "weeks add up to the time they cover",
    (jobs) => {
      const apart = workload(jobs, EDGES).weeks.reduce((sum, week) => sum + week.jobs, 0);
      const whole = workload(jobs, [TODAY, TODAY + 17]).weeks[0]?.jobs ?? 0;
      expect(apart).toBeCloseTo(whole, 3);
    },
  );
});

describe("how many of several things happen", () => {
  test("three of even chance: the binomial law's quantiles", () => {
    // 1/8, 3/8, 3/8, 1/8: at most 0 with 0.125, at most 2 with 0.875.
    expect(countsWithin([0.5, 0.5, 0.5], 0.1, 0.9)).toEqual({ from: 0, to: 3 });
    expect(countsWithin([0.5, 0.5, 0.5], 0.2, 0.8)).toEqual({ from: 1, to: 2 });
  });

  test("certain ones are not in doubt, and none is none", () => {
    expect(countsWithin([1, 1, 2], 0.1, 0.9)).toEqual({ from: 4, to: 4 });
    expect(countsWithin([], 0.1, 0.9)).toEqual({ from: 0, to: 0 });
  });

  test("thousands are as wide as the normal law says", () => {
    const { from, to } = countsWithin(Array(4000).fill(0.1), 0.1, 0.9);
    // Mean 400, standard deviation 18.97; 1.2816 of it is 24.3 (de Moivre and Laplace).
    expect(from).toBeGreaterThanOrEqual(374);
    expect(from).toBeLessThanOrEqual(377);
    expect(to).toBeGreaterThanOrEqual(423);
    expect(to).toBeLessThanOrEqual(426);
  });
});
