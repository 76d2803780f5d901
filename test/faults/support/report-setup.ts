import { existsSync, mkdirSync, mkdtempSync, readFileSync, rmSync, writeFileSync } from "node:fs";
import { tmpdir } from "node:os";
import { join, resolve } from "node:path";
import type { TestProject } from "vitest/node";
import type { FaultRow } from "./report.ts";

declare module "vitest" {
  interface ProvidedContext {
    /** File that takes a line for each fault that was brought about. */
    faultReport: string;
  }
}

const COLUMNS = ["fault", "backend", "tries", "due", "sent", "lost", "repeated", "note"] as const;
const KEPT = resolve(import.meta.dirname, "../../../.local");

/** Collects what the faults did; at the end prints it as a table and keeps that in `.local/`. */
export default function setUp(project: TestProject): () => void {
  const folder = mkdtempSync(join(tmpdir(), "forewheel-faults-"));
  const lines = join(folder, "rows");
  project.provide("faultReport", lines);
  return () => {
    if (existsSync(lines)) {
      const table = tableOf(rowsIn(lines));
      process.stdout.write(`\n${table}\n`);
      mkdirSync(KEPT, { recursive: true });
      writeFileSync(join(KEPT, `faults-${project.name}.md`), table);
    }
    rmSync(folder, { recursive: true });
  };
}

function rowsIn(file: string): FaultRow[] {
  return readFileSync(file, "utf8")
    .trim()
    .split("\n")
    .map((line) => JSON.parse(line) as FaultRow)
    .sort((a, b) => a.fault.localeCompare(b.fault) || a.backend.localeCompare(b.backend));
}

function tableOf(rows: readonly FaultRow[]): string {
  const lines = rows.map((row) => COLUMNS.map((column) => String(row[column])));
  return [COLUMNS, COLUMNS.map(() => "---"), ...lines]
    .map((cells) => `| ${cells.join(" | ")} |\n`)
    .join("");
}
