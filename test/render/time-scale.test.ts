import { describe, expect, test } from "vitest";
import { timeScale } from "../../src/render/time-scale.ts";
import { timeScaleDrawing } from "../../src/render/time-scale-drawing.ts";
import { wordingFor } from "../../src/render/wording.ts";

const TODAY = "2026-04-12";
const scaleOf = (from: string, most: string | null, to: string | null) =>
  timeScale({ from, most, to }, TODAY);

describe("the time scale", () => {
  test("tells its dates no finer than the sentence above it", () => {
    expect(scaleOf("2026-05-12", "2026-05-20", "2026-05-30")?.grain).toBe("day");
    const wide = scaleOf("2026-07-18", "2027-03-28", "2028-05-31");
    if (!wide) throw new Error("a range with two ends has a scale");
    const drawn = String(timeScaleDrawing(wordingFor("en"), wide, "A sentence."));
    expect(drawn).toContain(">Jul 2026</text>");
    expect(drawn).toContain(">May 2028</text>");
    expect(drawn).not.toMatch(/>\d+ [A-Z]/);
  });

  test("is left out where the sentence tells no two ends", () => {
    expect(scaleOf("2026-10-03", "2028-03-05", null)).toBeNull();
    expect(scaleOf("2027-10-08", "2029-06-06", "2032-02-19")).toBeNull();
    expect(scaleOf("2026-01-19", "2026-08-28", "2029-06-06")).toBeNull();
    expect(scaleOf("2026-04-01", "2026-04-10", "2026-04-30")).toBeNull();
    expect(scaleOf("2026-05-01", "2026-05-01", "2026-05-01")).toBeNull();
  });
});
