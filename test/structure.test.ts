import { execFile } from "node:child_process";
import { readdirSync, readFileSync } from "node:fs";
import { dirname, join, normalize, relative } from "node:path";
import { promisify } from "node:util";
import { expect, test } from "vitest";

const run = promisify(execFile);

/** Which rooms each room may import from; those that wire parts together may import from all. */
const MAY: Record<string, readonly string[]> = {
  domain: ["domain"],
  application: ["application", "domain"],
  database: ["database", "application", "domain"],
  content: ["content", "application", "domain"],
  render: ["render", "content", "application", "domain"],
  outbound: ["outbound", "application", "domain"],
  http: ["http", "render", "content", "application", "domain"],
};

const FILES = ["src", "workers"].flatMap((folder) =>
  readdirSync(folder, { recursive: true, encoding: "utf8" })
    .filter((name) => name.endsWith(".ts") && !name.includes("generated"))
    .map((name) => join(folder, name)),
);

function importsOf(file: string): string[] {
  const found = readFileSync(file, "utf8").matchAll(/from "(\.[^"]+)"/g);
  return [...found].map(([, path]) => normalize(join(dirname(file), String(path))));
}

const roomOf = (file: string): string => relative("src", file).split("/")[0] ?? "";

test("imports go in one direction", () => {
  const wrong = FILES.flatMap((file) => {
    const allowed = MAY[roomOf(file)];
    if (!allowed) return [];
    return importsOf(file)
      .filter((target) => !allowed.includes(roomOf(target)))
      .map((target) => `${file} imports ${target}`);
  });
  expect(wrong).toEqual([]);
});

test("no file goes round in a circle to itself", () => {
  const done = new Set<string>();
  const cycles: string[] = [];
  const walk = (file: string, path: string[]): void => {
    if (path.includes(file)) cycles.push([...path.slice(path.indexOf(file)), file].join(" > "));
    if (path.includes(file) || done.has(file) || file.includes("generated")) return;
    for (const target of importsOf(file)) walk(target, [...path, file]);
    done.add(file);
  };
  for (const file of FILES) walk(file, []);
  expect(cycles).toEqual([]);
});

test("no file is much over 400 lines", () => {
  const long = FILES.filter((file) => readFileSync(file, "utf8").split("\n").length > 420);
  expect(long).toEqual([]);
});

test("the compose file follows the Compose specification's schema", async () => {
  const checked = run(process.execPath, [
    "node_modules/dclint/bin/dclint.cjs",
    "-q",
    "docker-compose.yml",
  ]);
  await expect(checked).resolves.toBeDefined();
});
