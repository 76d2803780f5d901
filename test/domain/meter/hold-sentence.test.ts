import { describe, expect, it } from "vitest";
import { likelierValueOf } from "../../../src/domain/meter/hold-reason.ts";
import { holdSentence } from "../../../src/domain/meter/hold-sentence.ts";

describe("a reason to hold a reading, in words", () => {
  it("names the likelier value with its unit", () => {
    expect(holdSentence({ code: "digitDropped", likelierValue: 5210 }, "km")).toBe(
      "It looks as if a digit was left out: 5210 km is likelier.",
    );
  });
  it("tells which reading to look at when the earlier one is the slip", () => {
    expect(holdSentence({ code: "earlierIsTheSlip", earlierReadingId: "r" }, "km")).toMatch(
      /the likelier slip: correct or confirm that one/,
    );
  });
  it("tells what the earlier one likelier said, in the unit of that one", () => {
    const reason = { code: "earlierIsTheSlip", likelierValue: 3952, likelierUnit: "mi" } as const;
    expect(holdSentence(reason, "km")).toMatch(/confirm that one\. 3952 mi is likelier there\.$/);
  });
  it("adds the likelier value to a contradiction as a sentence of its own", () => {
    expect(holdSentence({ code: "tooFast", likelierValue: 6360 }, "km")).toBe(
      "No such machine runs so far in that time. 6360 km is likelier.",
    );
  });
});

describe("what a held reading itself more likely showed", () => {
  it("is not what the earlier one did", () => {
    const earlier = { code: "earlierIsTheSlip", likelierValue: 5210 } as const;
    expect(likelierValueOf([{ code: "runsBackwards" }, earlier])).toBeUndefined();
    expect(likelierValueOf([{ code: "digitDropped", likelierValue: 52_100 }])).toBe(52_100);
  });
});
