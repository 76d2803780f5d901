import fc from "fast-check";
import { describe, expect, it } from "vitest";
import { type SlipCode, slipsOf } from "../../../src/domain/meter/slips.ts";
import { KM_PER_MI } from "../../../src/domain/units/distance.ts";

const meant = (value: number, code: SlipCode, unit: "km" | "mi" | "h" = "km") =>
  slipsOf(value, unit)
    .filter((slip) => slip.code === code)
    .map((slip) => slip.value);

describe("what the meter may have shown", () => {
  it("had one digit more where one was dropped", () => {
    expect(meant(520, "digitDropped")).toEqual(expect.arrayContaining([5210, 1520, 5200]));
    expect(meant(520, "digitDropped").every((value) => value >= 1000 && value <= 9999)).toBe(true);
  });
  it("had one digit less where one was typed twice", () => {
    expect(meant(52_100, "digitDoubled")).toEqual([5210]);
    expect(meant(52_210, "digitDoubled")).toEqual([5210]);
    expect(meant(5210, "digitDoubled")).toEqual([]);
  });
  it("had two neighbours the other way round where they were swapped", () => {
    expect(meant(5120, "digitsSwapped")).toEqual([1520, 5210, 5102]);
  });
  it("differed in one digit where one was mistyped, the fraction kept", () => {
    expect(meant(12.5, "digitMistyped")).toContain(72.5);
    expect(meant(12.5, "digitMistyped")).toHaveLength(17);
  });
  it("was the same figure in the other unit, but hours have none", () => {
    expect(meant(5210, "otherUnit", "km")).toEqual([8385]);
    expect(meant(5210, "otherUnit", "mi")).toEqual([3237]);
    expect(meant(5210, "otherUnit", "h")).toEqual([]);
  });
  it("comes out as this very figure with the share of its places and digits", () => {
    const chances = (value: number, code: SlipCode) =>
      slipsOf(value, "km")
        .filter((slip) => slip.code === code)
        .map(({ chance }) => chance);
    expect(new Set(chances(5120, "digitMistyped"))).toEqual(new Set([1 / 36]));
    expect(new Set(chances(512, "digitDropped"))).toEqual(new Set([1 / 4]));
    expect(chances(5122, "digitDoubled")).toEqual([1 / 3]);
    expect(chances(5120, "digitsSwapped")).toEqual([1 / 3, 1 / 3, 1 / 3]);
    expect(chances(5120, "otherUnit")).toEqual([KM_PER_MI]);
  });
  it("can always be undone: a figure with a swapped or mistyped digit leads back to the true one", () => {
    const figure = fc.integer({ min: 1000, max: 99_999 });
    fc.assert(
      fc.property(figure, fc.nat({ max: 2 }), fc.nat({ max: 9 }), (figured, at, digit) => {
        const text = String(figured);
        const place = at + 1;
        const typed = Number(text.slice(0, place) + digit + text.slice(place + 1));
        if (typed !== figured) expect(meant(typed, "digitMistyped")).toContain(figured);
        const dropped = Number(text.slice(0, place) + text.slice(place + 1));
        expect(meant(dropped, "digitDropped")).toContain(figured);
        const doubled = Number(text.slice(0, place) + text[at] + text.slice(place));
        expect(meant(doubled, "digitDoubled")).toContain(figured);
      }),
    );
  });
});
