import { execFileSync } from "node:child_process";
import { mkdirSync, mkdtempSync } from "node:fs";
import { join, resolve } from "node:path";

const ROOT = resolve(import.meta.dirname, "../..");

/** A new folder inside the project, so that what lies in it finds the installed packages. */
export function folderInProject(): string {
  mkdirSync(join(ROOT, ".local"), { recursive: true });
  return mkdtempSync(join(ROOT, ".local", "test-"));
}

/** Compiles files of src/commands into the folder, for programs that run without Vitest. */
export function compileCommands(folder: string, ...names: string[]): void {
  const commands = join(ROOT, "src/commands");
  execFileSync(
    process.execPath,
    [
      join(ROOT, "node_modules/typescript/bin/tsc"),
      "--ignoreConfig",
      ...["--outDir", folder, "--rootDir", commands],
      ...["--module", "nodenext", "--target", "es2022", "--types", "node", "--skipLibCheck"],
      "--rewriteRelativeImportExtensions",
      ...names.map((name) => join(commands, name)),
    ],
    { stdio: "inherit" },
  );
}
