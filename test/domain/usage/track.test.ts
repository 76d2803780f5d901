import { describe, expect, it } from "vitest";
import { lastPoint, trackUntil } from "../../../src/domain/usage/track.ts";

describe("the track that an estimate rests on", () => {
  it("is put in order and ends with the moment asked about", () => {
    const readings = [
      { day: 30, km: 300 },
      { day: 10, km: 100 },
      { day: 20, km: 200 },
      { day: 40, km: 400 },
    ];
    expect(trackUntil(readings, 30)?.map(({ km }) => km)).toEqual([100, 200, 300]);
    expect(lastPoint(trackUntil(readings, 39.9)!)).toEqual({ day: 30, km: 300 });
  });

  it("keeps the highest of a day, and of equal ones the latest", () => {
    const readings = [
      { day: 10.2, km: 100 },
      { day: 10.5, km: 120 },
      { day: 10.6, km: 110 },
      { day: 10.9, km: 120 },
    ];
    expect(trackUntil(readings, 50)).toEqual([{ day: 10.9, km: 120 }]);
  });

  it("leaves out what runs backwards", () => {
    const readings = [
      { day: 10, km: 100 },
      { day: 20, km: 90 },
      { day: 30, km: 110 },
    ];
    expect(trackUntil(readings, 50)?.map(({ day }) => day)).toEqual([10, 30]);
  });

  it("is none without a reading", () => {
    expect(trackUntil([], 50)).toBeNull();
    expect(trackUntil([{ day: 51, km: 1 }], 50)).toBeNull();
  });
});
