import { expect, test } from "vitest";
import { DARK, LIGHT, type Tokens } from "../../src/render/tokens.ts";

/** Relative luminance and contrast as W3C WCAG 2.2 defines them (section "Relative luminance"). */
function luminance(colour: string): number {
  const [r, g, b] = [1, 3, 5]
    .map((start) => Number.parseInt(colour.slice(start, start + 2), 16) / 255)
    .map((part) => (part <= 0.04045 ? part / 12.92 : ((part + 0.055) / 1.055) ** 2.4)) as [
    number,
    number,
    number,
  ];
  return 0.2126 * r + 0.7152 * g + 0.0722 * b;
}

function contrast(one: string, other: string): number {
  const [low, high] = [luminance(one), luminance(other)].sort((a, b) => a - b) as [number, number];
  return (high + 0.05) / (low + 0.05);
}

test("black on white is 21 to 1, as WCAG 2.2 says", () => {
  expect(contrast("#000000", "#ffffff")).toBeCloseTo(21, 9);
});

test.each([
  ["light", LIGHT],
  ["dark", DARK],
] satisfies Array<[string, Tokens]>)("every text stands out from its ground, %s", (_, tokens) => {
  const pairs: Array<[keyof Tokens, keyof Tokens]> = [
    ["ink", "paper"],
    ["quiet", "paper"],
    ["accent", "paper"],
    ["fault", "paper"],
    ["onAccent", "accent"],
    ["onCaution", "caution"],
    ["paper", "ink"],
    ["ink", "outer"],
    ["ink", "inner"],
  ];
  for (const [text, ground] of pairs) {
    expect(contrast(tokens[text], tokens[ground]), `${text} on ${ground}`).toBeGreaterThanOrEqual(
      6,
    );
  }
  expect(contrast(tokens.rule, tokens.paper), "rule").toBeGreaterThanOrEqual(3);
  expect(
    contrast(tokens.accent, tokens.inner),
    "the most likely date on its band",
  ).toBeGreaterThanOrEqual(3);
});
