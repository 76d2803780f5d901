import { execFileSync } from "node:child_process";
import { mkdirSync, mkdtempSync } from "node:fs";
import { join, resolve } from "node:path";
import { pathToFileURL } from "node:url";

const ROOT = resolve(import.meta.dirname, "../..");

/** A new folder inside the project, so that what lies in it finds the installed packages. */
export function folderInProject(): string {
  mkdirSync(join(ROOT, ".local"), { recursive: true });
  return mkdtempSync(join(ROOT, ".local", "test-"));
}

/** Compiles files of src/commands into the folder, for programs that run without Vitest. */
export function compileCommands(folder: string, ...names: string[]): void {
  compile(join(ROOT, "src/commands"), folder, names);
}

/** Compiles the thread that works beside the event loop into the folder; answers its program. */
export function compileThread(folder: string): URL {
  compile(join(ROOT, "src"), folder, ["http/beside/thread.ts"]);
  return pathToFileURL(join(folder, "http/beside/thread.js"));
}

/** Types are checked elsewhere. */
function compile(from: string, to: string, names: readonly string[]): void {
  execFileSync(
    process.execPath,
    [
      join(ROOT, "node_modules/typescript/bin/tsc"),
      "--ignoreConfig",
      ...["--outDir", to, "--rootDir", from],
      ...["--module", "nodenext", "--target", "es2022", "--types", "node", "--noCheck"],
      "--rewriteRelativeImportExtensions",
      ...names.map((name) => join(from, name)),
    ],
    { stdio: "inherit" },
  );
}
