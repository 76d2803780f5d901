import { describe, expect, it } from "vitest";
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
});
