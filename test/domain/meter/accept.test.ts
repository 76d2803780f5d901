import fc from "fast-check";
import { describe, expect, it } from "vitest";
import { acceptReading, type Known, type Posted } from "../../../src/domain/meter/accept.ts";
import { KM_PER_MI } from "../../../src/domain/units/distance.ts";
import { accepted, contextAt, posted } from "./riders.ts";

const judge = (one: Posted, known: readonly Known[], confirmed = false) =>
  acceptReading(one, known, [], { ...contextAt(one.at), confirmed });
const codesOf = (one: Posted, known: readonly Known[]) => {
  const judged = judge(one, known);
  return judged.status === "held" ? judged.reasons.map(({ code }) => code) : [];
};
/** A commuter who posts every ten days. */
const steady = Array.from({ length: 12 }, (_, i) => accepted(i * 10, 4000 + i * 200));

describe("a reading that makes sense", () => {
  it("is accepted, also the first of a machine, also 0", () => {
    expect(judge(posted(0, 0), [])).toEqual({ status: "accepted", total: 0 });
    expect(judge(posted(0, 87_000), [])).toEqual({ status: "accepted", total: 87_000 });
    expect(judge(posted(120, 6400), steady)).toEqual({ status: "accepted", total: 6400 });
  });
  it("may tell of a long trip: 3,000 km in a week of a rider who was never steady", () => {
    const tourer = [10_000, 10_150, 11_900, 12_000, 12_700].map((km, i) => accepted(i * 30, km));
    expect(judge(posted(127, 15_700), tourer).status).toBe("accepted");
  });
  it("may tell of a holiday of a rider who was ever steady: of 36 trips in a week three out of four pass", () => {
    const trips = Array.from({ length: 36 }, (_, i) => 1500 + i * 97);
    const held = trips.filter((km) => codesOf(posted(117, 6200 + km), steady).length > 0);
    expect(judge(posted(117, 9100), steady).status).toBe("accepted");
    expect(judge(posted(117, 9000), steady).status).toBe("accepted");
    expect(held.length).toBeLessThanOrEqual(9);
  });
  it("is doubted after a holiday only where the figure is just what a slip would have made of a usual one", () => {
    expect(codesOf(posted(117, 9340), steady)).toEqual(["digitMistyped"]);
    const held = accepted(117, 9340, { status: "held" });
    expect(judge(posted(124, 9480), [...steady, held]).status).toBe("accepted");
  });
  it("may come in any order and take its place between its neighbours", () => {
    expect(judge(posted(45, 4900), steady).status).toBe("accepted");
    expect(judge(posted(-5, 3900), steady).status).toBe("accepted");
  });
  it("may be whole after one in tenths: 5210 stands for anything below 5211, but not for 5211", () => {
    const known = [accepted(0, 5000), accepted(9.5, 5210.4)];
    expect(judge(posted(10, 5210), known)).toEqual({ status: "accepted", total: 5210.4 });
    expect(judge(posted(9, 5210.6), [accepted(0, 5000), accepted(10, 5210)])).toEqual({
      status: "accepted",
      total: 5210,
    });
    expect(codesOf(posted(10, 5210.3), known)).toContain("runsBackwards");
    expect(codesOf(posted(10, 5209), known)).toContain("runsBackwards");
    expect(codesOf(posted(10, 5209), [accepted(0, 5000), accepted(9, 5210)])).toContain(
      "runsBackwards",
    );
  });
  it("is not held for a binary error in the sum after a meter change", () => {
    const change = { at: posted(5, 0).at, before: 0.3, after: 0.2 };
    const one = posted(10, 0.2);
    const judged = acceptReading(one, [accepted(0, 0.3)], [change], contextAt(one.at));
    expect(judged).toEqual({ status: "accepted", total: 0.3 });
  });
  it("is counted in the meter's unit when posted in the other", () => {
    const judged = judge(posted(120, 3977, "mi"), steady);
    expect(judged).toMatchObject({ status: "accepted" });
    expect(judged).toHaveProperty("total", 3977 * 1.609344);
  });
});

describe("a first reading that is impossible in itself", () => {
  it("is held: no instrument shows ten million", () => {
    expect(codesOf(posted(0, 10_000_000), [])).toEqual(["tooFast"]);
    expect(judge(posted(0, 9_999_999), []).status).toBe("accepted");
  });
});

describe("a reading posted again", () => {
  it("is the same one, held or not", () => {
    expect(judge(posted(10, 4200), steady)).toEqual({ status: "same", id: "r10" });
    const held = [...steady, accepted(115, 99, { id: "h", status: "held" })];
    expect(judge(posted(115, 99), held)).toEqual({ status: "same", id: "h" });
  });
  it("is held with another value at the same instant", () => {
    expect(judge(posted(10, 4201), steady)).toMatchObject({
      status: "held",
      reasons: [{ code: "sameInstantOtherValue", earlierReadingId: "r10" }],
    });
  });
  it("does not count one that was superseded", () => {
    const known = [accepted(0, 4000), accepted(10, 99_999, { status: "superseded" })];
    expect(judge(posted(10, 4200), known).status).toBe("accepted");
  });
});

describe("a reading that contradicts its neighbours", () => {
  it("is held when it runs backwards, from before or from after", () => {
    expect(codesOf(posted(120, 3100), steady)[0]).toBe("runsBackwards");
    expect(codesOf(posted(45, 5100), steady)[0]).toBe("runsBackwards");
    expect(codesOf(posted(45, 4700), steady)[0]).toBe("runsBackwards");
  });
  it("is held when no machine of the kind runs so far in that time", () => {
    expect(codesOf(posted(111, 12_000), steady)[0]).toBe("tooFast");
  });
  it("names the digit that was dropped and the value it more likely was", () => {
    const judged = judge(posted(120, 640), steady);
    expect(judged).toMatchObject({
      status: "held",
      reasons: [{ code: "runsBackwards" }, { code: "digitDropped" }],
    });
    const likelier = judged.status === "held" ? judged.reasons[1]?.likelierValue : 0;
    expect(likelier).toBeGreaterThanOrEqual(6200);
    expect(likelier).toBeLessThan(7000);
  });
  it("tells that the earlier one is the slip when that does not fit what came before it", () => {
    const known = [...steady, accepted(118, 62_400, { id: "slip" })];
    expect(judge(posted(125, 6500), known)).toMatchObject({
      status: "held",
      reasons: [
        { code: "runsBackwards", earlierReadingId: "slip" },
        { code: "earlierIsTheSlip", earlierReadingId: "slip" },
      ],
    });
  });
  it("tells what the earlier one more likely said, in the unit in which that was posted", () => {
    const slip = accepted(118, 63_600, { id: "slip" });
    const total = 39_522 * KM_PER_MI;
    const inMiles = accepted(118, 39_522, { id: "slip", unit: "mi", total });
    const next = (km: number, known: Known) => {
      const judged = judge(posted(125, km), [...steady, known]);
      return judged.status === "held" ? judged.reasons[1] : undefined;
    };
    expect(next(6500, slip)).toEqual({
      code: "earlierIsTheSlip",
      earlierReadingId: "slip",
      likelierValue: 6360,
    });
    expect(next(6500, inMiles)).toEqual({
      code: "earlierIsTheSlip",
      earlierReadingId: "slip",
      likelierValue: 3952,
      likelierUnit: "mi",
    });
  });
  it("names no likelier value where no usual slip leads from a fitting one to the earlier", () => {
    const known = [...steady, accepted(118, 81_359, { id: "slip" })];
    expect(judge(posted(125, 6500), known)).toMatchObject({
      reasons: [{}, { code: "earlierIsTheSlip", earlierReadingId: "slip" }],
    });
    const judged = judge(posted(125, 6500), known);
    expect(judged.status === "held" && judged.reasons[1]).not.toHaveProperty("likelierValue");
  });
  it("never calls a confirmed reading a slip", () => {
    const known = [...steady, accepted(118, 62_400, { id: "sure", confirmed: true })];
    expect(codesOf(posted(125, 6500), known)).not.toContain("earlierIsTheSlip");
  });
  it("is accepted once a person has confirmed it", () => {
    expect(judge(posted(120, 3100), steady, true)).toEqual({ status: "accepted", total: 3100 });
  });
});

describe("a reading that a slip explains far better", () => {
  it("is held as the other unit's figure, and told in the unit that was posted", () => {
    const far = steady.map((one, i) => accepted(i * 10, one.value + 6000));
    expect(judge(posted(120, 7705), far)).toMatchObject({
      status: "held",
      reasons: [{ code: "runsBackwards" }, { code: "otherUnit", likelierValue: 12_400 }],
    });
  });
  it.each([
    ["digitMistyped", 8400],
    ["digitDoubled", 66_400],
  ])("is held as %s (%d for 6400)", (code, value) => {
    expect(codesOf(posted(120, value), steady)).toContain(code);
  });
});

describe("a reading that is still held", () => {
  const heldAt = (day: number, km: number) => [...steady, accepted(day, km, { status: "held" })];
  it("lets the next one through that runs on from it: one surprising journey, not two slips", () => {
    expect(codesOf(posted(120, 8400), steady)).toContain("digitMistyped");
    expect(judge(posted(130, 8600), heldAt(120, 8400)).status).toBe("accepted");
  });
  it("excuses no later slip once a newer reading was accepted", () => {
    expect(codesOf(posted(130, 8600), steady)).toEqual(["digitsSwapped"]);
    expect(codesOf(posted(130, 8600), heldAt(5, 4900))).toEqual(["digitsSwapped"]);
    expect(codesOf(posted(111, 12_000), heldAt(5, 4900))).toEqual(["tooFast"]);
  });
  it("excuses no later slip when it ran backwards itself", () => {
    expect(codesOf(posted(130, 8600), heldAt(120, 640))).toEqual(["digitsSwapped"]);
  });
});

describe("a speed that no machine has", () => {
  const heldAt = (day: number, km: number) => accepted(day, km, { status: "held" });
  it("is held however many readings say so, until a person confirms one", () => {
    const held = [heldAt(111, 66_400), heldAt(112, 66_500)];
    const next = posted(113, 66_600);
    expect(codesOf(next, [...steady, held[0]!])[0]).toBe("tooFast");
    expect(codesOf(next, [...steady, ...held])[0]).toBe("tooFast");
    expect(judge(next, [...steady, ...held], true).status).toBe("accepted");
  });
  it("bears no witness later, when the same total would no longer be too fast", () => {
    const held = heldAt(111, 66_400);
    expect(codesOf(posted(145, 66_900), [...steady, held])).toContain("digitDoubled");
  });
});

describe("the other unit's figure", () => {
  it("is held again where it is posted again: both are the same slip", () => {
    const known = steady.map(({ value }, i) => accepted(i * 10, value + 13_555));
    const slip = { unit: "mi", total: 19_955 * KM_PER_MI, status: "held" } as const;
    expect(codesOf(posted(120, 19_955, "mi"), known)).toEqual(["otherUnit"]);
    const held = accepted(120, 19_955, slip);
    expect(codesOf(posted(130, 20_155, "mi"), [...known, held])).toEqual(["otherUnit"]);
  });
});

describe("a first reading that was a slip", () => {
  const first = accepted(0, 64_000, { id: "first" });
  const held = (day: number, km: number) => accepted(day, km, { status: "held" });
  it("is not doubted on one later reading: that one is held alone", () => {
    expect(codesOf(posted(10, 6600), [first])).not.toContain("earlierIsTheSlip");
  });
  it("is named once two later ones contradict it and agree, with what it likelier said", () => {
    expect(judge(posted(20, 6800), [first, held(10, 6600)])).toMatchObject({
      status: "held",
      reasons: [
        { code: "runsBackwards", earlierReadingId: "first" },
        { code: "earlierIsTheSlip", earlierReadingId: "first", likelierValue: 6400 },
      ],
    });
  });
  it("is named too where it was far too low for any machine to catch up", () => {
    const low = accepted(0, 640, { id: "first" });
    expect(judge(posted(2, 64_150), [low, held(1, 64_100)])).toMatchObject({
      reasons: [{ code: "tooFast" }, { code: "earlierIsTheSlip", earlierReadingId: "first" }],
    });
  });
  it("is not named where the later ones disagree, nor where a person confirmed it", () => {
    expect(codesOf(posted(20, 6800), [first, held(10, 7900)])).not.toContain("earlierIsTheSlip");
    const sure = { ...first, confirmed: true };
    expect(codesOf(posted(20, 6800), [sure, held(10, 6600)])).not.toContain("earlierIsTheSlip");
  });
});

describe("a slip too small to move a due date", () => {
  it("is not asked about below 500 km, where nothing contradicts it", () => {
    const known = [...Array(12).keys()].map((i) => accepted(i * 10, 4000 + i * 10));
    expect(judge(posted(120, 4410), known).status).toBe("accepted");
    expect(codesOf(posted(120, 5120), known)).toEqual(["digitMistyped"]);
  });
});

describe("any steady rider", () => {
  it("is held neither for the next steady reading nor for what lies between two readings", () => {
    const rider = fc.record({
      perDay: fc.integer({ min: 3, max: 80 }),
      start: fc.integer({ min: 0, max: 60_000 }),
      every: fc.integer({ min: 2, max: 40 }),
      count: fc.integer({ min: 1, max: 15 }),
    });
    fc.assert(
      fc.property(rider, ({ perDay, start, every, count }) => {
        const known = Array.from({ length: count }, (_, i) =>
          accepted(i * every, start + i * every * perDay),
        );
        const next = posted(count * every, start + count * every * perDay);
        expect(judge(next, known).status).toBe("accepted");
        const between = posted(every / 2, start + Math.floor((every / 2) * perDay));
        if (count > 1) expect(judge(between, known).status).toBe("accepted");
      }),
    );
  });
});
