import { readdirSync, readFileSync } from "node:fs";
import { fileURLToPath } from "node:url";
import { IntlMessageFormat } from "intl-messageformat";
import { describe, expect, test } from "vitest";
import { CATALOGUES } from "../../src/content/messages/catalogue.ts";
import { en } from "../../src/content/messages/en.ts";

const folder = fileURLToPath(new URL("../../src/render/", import.meta.url));
const sources = readdirSync(folder, { recursive: true, encoding: "utf8" })
  .filter((name) => name.endsWith(".ts"))
  .map((name) => readFileSync(folder + name, "utf8"))
  .join("\n");

/** Keys that code puts together, by the part that stands in it. */
const STEMS = [...sources.matchAll(/`([a-z][\w.]*\.)?(\w*)\$\{/g)].map(
  ([, path = "", start]) => path + start,
);

describe("the message catalogues", () => {
  test.each([...CATALOGUES])("%s has every key of English, and no other", (_, { messages }) => {
    expect(Object.keys(messages).sort()).toEqual(Object.keys(en).sort());
  });

  test.each([...CATALOGUES])("%s asks for the same values as English", (_, { messages }) => {
    for (const [key, message] of Object.entries(messages)) {
      const english = en[key as keyof typeof en];
      expect(valuesOf(message), key).toEqual(valuesOf(english));
    }
  });

  test.each(Object.entries(en))("%s is well formed and used", (key, message) => {
    expect(
      () => new IntlMessageFormat(message, "en", undefined, { ignoreTag: true }),
    ).not.toThrow();
    const used =
      sources.includes(`"${key}"`) ||
      STEMS.some((stem) => stem.includes(".") && key.startsWith(stem));
    expect(used, "no code says it").toBe(true);
  });
});

function valuesOf(message: string): string[] {
  const names = new Set<string>();
  const format = new IntlMessageFormat(message, "en", undefined, { ignoreTag: true });
  const walk = (elements: ReturnType<typeof format.getAst>) => {
    for (const element of elements) {
      if (element.type === 0 || element.type === 7) continue;
      names.add(String(element.value));
      if ("options" in element) for (const { value } of Object.values(element.options)) walk(value);
    }
  };
  walk(format.getAst());
  return [...names].sort();
}
