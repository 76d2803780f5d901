import { fc, test } from "@fast-check/vitest";
import { describe, expect } from "vitest";
import { workWindow } from "../../../src/domain/due/within-window.ts";
import { anyLimits, anyWork, done, pointOf } from "./plans.ts";

const every = { distance: 6000, months: 12 };
const last = done({ on: "2025-06-01", distance: 2000 });
// Windows: 7400 to 8600 km, 2026-04-25 to 2026-07-08.
const first = pointOf({ every }, last);
const lastOfAll = pointOf({ every, whichever: "last" }, last);
const within = { window: "within" };
const early = { window: "outside", side: "early" };
const late = { window: "outside", side: "late" };

describe("work, whichever limit comes first", () => {
  test.each([
    ["before every window", "2026-01-01", 7000, early],
    ["within one, before the other", "2026-01-01", 7400, within],
    ["within the other, before the one", "2026-04-25", 5000, within],
    ["past one, before the other", "2026-01-01", 8601, late],
    ["on the late edges", "2026-07-08", 8600, within],
    ["past both", "2026-07-09", 9000, late],
  ])("%s", (_where, on, distance, verdict) => {
    expect(workWindow(first, { on, distance })).toEqual(verdict);
  });
});

describe("work, whichever limit comes last", () => {
  test.each([
    ["before any window", "2026-01-01", 8000, early],
    ["past one, before the other", "2026-01-01", 9000, early],
    ["past one, within the other", "2026-05-01", 9000, within],
    ["past both", "2026-07-09", 9000, late],
  ])("%s", (_where, on, distance, verdict) => {
    expect(workWindow(lastOfAll, { on, distance })).toEqual(verdict);
  });
});

describe("work whose total was not noted", () => {
  test("is judged by the limits that are left", () => {
    expect(workWindow(first, { on: "2026-06-01" })).toEqual(within);
    expect(workWindow(first, { on: "2026-01-01" })).toEqual(early);
  });

  test("is not judged when none is left", () => {
    const byDistance = pointOf({ every: { distance: 6000 } }, last);
    expect(workWindow(byDistance, { on: "2026-06-01" })).toBeNull();
  });
});

test.prop([
  anyLimits,
  anyWork,
  fc.constantFrom("first", "last"),
  fc.constantFrom("completion", "marks"),
])("work on the due point itself is within, and counts", (limits, work, whichever, repeatFrom) => {
  const told = { every: limits, whichever, repeatFrom } as const;
  const point = pointOf(told, work);
  const { distance, hours, date } = point;
  const onPoint = {
    on: date ?? work.on,
    ...(distance !== undefined && { distance }),
    ...(hours !== undefined && { hours }),
  };
  expect(workWindow(point, onPoint)).toEqual(within);
  const next = pointOf(told, { state: "done", ...onPoint });
  if (distance !== undefined) expect(next.distance).toBeGreaterThan(distance);
  if (date !== undefined) expect(next.date! > date).toBe(true);
});
