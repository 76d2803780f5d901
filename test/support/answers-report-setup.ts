import { existsSync, mkdtempSync, readFileSync, rmSync } from "node:fs";
import { tmpdir } from "node:os";
import { join } from "node:path";
import type { TestProject } from "vitest/node";
import type { SeenInFile, Tally } from "./from-the-document.ts";

declare module "vitest" {
  interface ProvidedContext {
    /** File that takes a line for each test file: which operations were answered, and how often. */
    seenAnswers: string;
  }
}

/** Calls every operation by its nature, so that it says nothing about the other tests. */
const FUZZ = "fuzz.test.ts";

/**
 * Sums up which operations the run was answered by, and prints it at the end. A run of everything
 * (`npm test` says so in WHOLE_RUN) fails where an operation was never answered 2xx.
 */
export default function setUp(project: TestProject): () => void {
  const folder = mkdtempSync(join(tmpdir(), "forewheel-answers-"));
  const lines = join(folder, "seen");
  project.provide("seenAnswers", lines);
  return () => {
    const seen = existsSync(lines) ? readLines(lines) : [];
    rmSync(folder, { recursive: true });
    if (seen.length > 0) sumUp(seen);
  };
}

function readLines(file: string): SeenInFile[] {
  const lines = readFileSync(file, "utf8").trim().split("\n");
  return lines.map((line) => JSON.parse(line) as SeenInFile);
}

function sumUp(seen: readonly SeenInFile[]): void {
  const all = tallyOf(seen);
  const besides = seen.reduce((sum, one) => sum + one.besides, 0);
  const answers = Object.values(all).reduce((sum, one) => sum + one.answers, 0);
  const never = namesWhere(all, ({ done }) => done === 0);
  const operations = Object.keys(all).length;
  say(
    `Held to the document: ${answers} answers of ${operations} operations, and ${besides} of none.`,
  );
  if (operations === 0) return;
  const byFuzz = namesWhere(
    tallyOf(seen.filter(({ file }) => !file.endsWith(FUZZ))),
    ({ done }) => done === 0,
  ).filter((name) => !never.includes(name));
  if (byFuzz.length > 0) say(`Answered 2xx to the fuzz run alone: ${byFuzz.join(", ")}.`);
  if (never.length === 0) {
    say("Every operation was answered 2xx.");
    return;
  }
  say(`Never answered 2xx in this run: ${never.join(", ")}.`);
  // Vitest counts no test for this; its exit code is what tells.
  if (process.env.WHOLE_RUN === "1") process.exitCode = 1;
}

function tallyOf(seen: readonly SeenInFile[]): Record<string, Tally> {
  const all: Record<string, Tally> = {};
  for (const { operations } of seen) {
    for (const [name, { answers, done }] of Object.entries(operations)) {
      const tally = all[name] ?? { answers: 0, done: 0 };
      all[name] = { answers: tally.answers + answers, done: tally.done + done };
    }
  }
  return all;
}

function namesWhere(all: Record<string, Tally>, wanted: (tally: Tally) => boolean): string[] {
  return Object.keys(all)
    .filter((name) => wanted(all[name] ?? { answers: 0, done: 0 }))
    .sort();
}

function say(text: string): void {
  process.stdout.write(`${text}\n`);
}
