import { readdirSync, readFileSync } from "node:fs";
import { fileURLToPath } from "node:url";
import { IntlMessageFormat } from "intl-messageformat";
import { describe, expect, test } from "vitest";
import { CATALOGUES, type MessageKey } from "../../src/content/messages/catalogue.ts";
import { en } from "../../src/content/messages/en.ts";
import { es } from "../../src/content/messages/es.ts";
import { fr } from "../../src/content/messages/fr.ts";

const folder = fileURLToPath(new URL("../../src/render/", import.meta.url));
const sources = readdirSync(folder, { recursive: true, encoding: "utf8" })
  .filter((name) => name.endsWith(".ts"))
  .map((name) => readFileSync(folder + name, "utf8"))
  .join("\n");

/** Keys that code puts together, by the part that stands in it. */
const STEMS = [...sources.matchAll(/`([a-z][\w.]*\.)?(\w*)\$\{/g)].map(
  ([, path = "", start]) => path + start,
);

const OTHERS = [...CATALOGUES].filter(([language]) => language !== "en");

/** Forms in which languages do not differ: pieces that are only joined, and units. */
const ALIKE =
  /^(date\.dayOfMonth|told\.year|season\.(inYear|overYears)|phrase\..*|mail\.openingOne|calendar\.(summary|feedSummary)|machine\.warning|history\.changed)$/;
/** Words that English shares with one of the others. */
const ALIKE_WORDS = ["Notes"];

describe("the message catalogues", () => {
  test.each([...CATALOGUES])("%s has every key of English, and no other", (_, { messages }) => {
    expect(Object.keys(messages).sort()).toEqual(Object.keys(en).sort());
  });

  test.each(OTHERS)("%s asks for the same values as English", (language, { messages }) => {
    for (const [key, message] of Object.entries(messages)) {
      const english = en[key as MessageKey];
      expect(valuesOf(message, language), key).toEqual(valuesOf(english, "en"));
    }
  });

  test.each(OTHERS)("%s says everything in its own words", (_, { messages }) => {
    const same = (Object.keys(en) as MessageKey[]).filter((key) => messages[key] === en[key]);
    expect(same.filter((key) => !ALIKE.test(key) && !ALIKE_WORDS.includes(en[key]))).toEqual([]);
  });

  test.each(OTHERS)("%s addresses nobody in capitals, and repeats no space", (_, { messages }) => {
    for (const [key, message] of Object.entries(messages)) {
      expect(message, key).not.toMatch(/ {2}|\.\.\.|[A-Z]{4}|"| '|' /);
    }
  });

  test("French sets a narrow space before : ; ? ! and never a plain one", () => {
    for (const [key, message] of Object.entries(fr)) {
      expect(message, key).not.toMatch(/[ \u00a0][:;?!»]|« /u);
      expect(message.replaceAll(/https?:/g, ""), key).not.toMatch(/[^\s\u202f][:;?!]/u);
    }
  });

  test("a Spanish question or call is opened as well as closed", () => {
    for (const [key, message] of Object.entries(es)) {
      const count = (sign: string) => message.split(sign).length - 1;
      expect([count("¿"), count("¡")], key).toEqual([count("?"), count("!")]);
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

/** The values that a message asks for. `role` is given with every date, for grammar that needs it. */
function valuesOf(message: string, language: string): string[] {
  const names = new Set<string>();
  const format = new IntlMessageFormat(message, language, undefined, { ignoreTag: true });
  const walk = (elements: ReturnType<typeof format.getAst>) => {
    for (const element of elements) {
      if (element.type === 0 || element.type === 7) continue;
      names.add(String(element.value));
      if ("options" in element) for (const { value } of Object.values(element.options)) walk(value);
    }
  };
  walk(format.getAst());
  names.delete("role");
  return [...names].sort();
}
