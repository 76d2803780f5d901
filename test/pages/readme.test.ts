import { readFileSync } from "node:fs";
import { expect, test } from "vitest";
import { SETTINGS } from "../../src/settings.ts";

const README = readFileSync("README.md", "utf8");

test("the README's table of settings is the one that the parts read", () => {
  const rows = SETTINGS.map(({ name, what, fallback, otherwise, usedBy }) => {
    const absent = fallback === undefined ? otherwise : `\`${fallback}\``;
    return `| \`${name}\` | ${what} | ${absent} | ${usedBy.join(", ")} |`;
  });
  const table = README.split("\n").filter((line) => line.startsWith("| `"));
  expect(table.map((line) => line.replaceAll(/\s+/g, " "))).toEqual(rows);
});

test("every command that the pages name exists", () => {
  const { scripts } = JSON.parse(readFileSync("package.json", "utf8")) as {
    scripts: Record<string, string>;
  };
  const pages = README + readFileSync("DEVELOPERS.md", "utf8");
  const named = [...pages.matchAll(/npm run ([a-z:]+)/g)].map(([, name]) => String(name));
  expect(named.filter((name) => !(name in scripts))).toEqual([]);
});
