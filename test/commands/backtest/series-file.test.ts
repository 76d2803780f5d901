import { describe, expect, it } from "vitest";
import { seriesOf } from "../../../src/commands/backtest/series-file.ts";

const ROWS = "2026-01-01,100\n2026-01-11,200\n2026-02-10,500\n";

describe("a file of readings", () => {
  it("is read with notes, in km, as an odometer or in miles", () => {
    const { posted, kind, group } = seriesOf("a.csv", `# a note\ndate,km\n${ROWS}`, "car");
    expect(posted).toEqual([
      { day: 20_454, km: 100 },
      { day: 20_464, km: 200 },
      { day: 20_494, km: 500 },
    ]);
    expect([kind, group]).toEqual(["car", "files"]);
    expect(seriesOf("a.csv", `date,odometer\r\n${ROWS}`, "car").posted).toEqual(posted);
    // 1 mi = 1.609344 km exactly, NIST SP 811.
    expect(seriesOf("a.csv", `date,mi\n${ROWS}`, "car").posted[0]?.km).toBeCloseTo(160.9344, 9);
  });

  it("is put in order, and what runs backwards is left out", () => {
    const { posted } = seriesOf("a.csv", `date,km\n2026-03-01,450\n${ROWS}`, "car");
    expect(posted.map(({ km }) => km)).toEqual([100, 200, 500]);
  });

  it.each([
    [ROWS, "line 1: write the head date,km"],
    [`date,km\n${ROWS}yesterday,700\n`, 'line 5: "yesterday" is no date'],
    [`date,km\n${ROWS}2026-03-01,lots\n`, 'line 5: "lots" is no distance'],
    [`date,km\n${ROWS}2026-03-01,\n`, 'line 5: "" is no distance'],
    [`date,km\n${ROWS}2026-03-01,-5\n`, 'line 5: "-5" is no distance'],
    ["date,km\n2026-01-01,100\n", "at least three readings"],
  ])("with a fault says where and what would be right", (text, words) => {
    expect(() => seriesOf("a.csv", text, "car")).toThrow(words);
  });
});
