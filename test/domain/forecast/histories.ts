import fc from "fast-check";
import type { RiddenHistory } from "../../../src/domain/forecast/fit.ts";
import { VEHICLE_KINDS } from "../../../src/domain/usage/kind.ts";

/** 2026-05-01, days since 1970-01-01. */
export const MAY_DAY = 20_574;

/** A rider who posts every `every` days and rides `perDay` km on each of them; the last post is today. */
export function steadyRider(
  perDay: number,
  every: number,
  posts: number,
  more: Partial<RiddenHistory> = {},
): RiddenHistory {
  const readings = Array.from({ length: posts }, (_, i) => ({
    day: MAY_DAY - (posts - 1 - i) * every,
    km: 1000 + i * every * perDay,
  }));
  return { kind: "other", readings, asOf: MAY_DAY, layUps: [], south: false, ...more };
}

/** Up to three other machines, read a few times. */
const fleets = fc.array(
  fc.array(
    fc.record({
      day: fc.double({ min: 17_000, max: 20_000, noNaN: true }),
      km: fc.double({ min: 0, max: 50_000, noNaN: true }),
    }),
    { maxLength: 6 },
  ),
  { maxLength: 3 },
);

/** Machines of all kinds with 1 to 12 readings at odd times, some declared, laid up or in a fleet. */
export const histories: fc.Arbitrary<RiddenHistory> = fc
  .record({
    kind: fc.constantFrom(...VEHICLE_KINDS),
    start: fc.double({ min: 17_000, max: 21_000, noNaN: true }),
    steps: fc.array(
      fc.record({
        days: fc.double({ min: 0, max: 250, noNaN: true }),
        km: fc.double({ min: 0, max: 4000, noNaN: true }),
      }),
      { maxLength: 11 },
    ),
    silence: fc.double({ min: 0, max: 900, noNaN: true }),
    declaredKmPerYear: fc.option(fc.integer({ min: 0, max: 40_000 }), { nil: undefined }),
    layUps: fc.array(
      fc.record({
        from: fc.integer({ min: 17_000, max: 23_000 }),
        days: fc.option(fc.integer({ min: 0, max: 250 }), { freq: 9 }),
      }),
      { maxLength: 3 },
    ),
    south: fc.boolean(),
    fleet: fc.option(fleets, { nil: undefined }),
  })
  .map(({ kind, start, steps, silence, declaredKmPerYear, layUps, south, fleet }) => {
    const readings = [{ day: start, km: 1234 }];
    for (const { days, km } of steps) {
      const last = readings.at(-1)!;
      readings.push({ day: last.day + days, km: last.km + km });
    }
    return {
      kind,
      readings,
      asOf: readings.at(-1)!.day + silence,
      declaredKmPerYear,
      layUps: layUps.map(({ from, days }) => ({ from, to: days === null ? null : from + days })),
      south,
      fleet,
    };
  });
