import { execFileSync } from "node:child_process";
import { mkdirSync, mkdtempSync } from "node:fs";
import { join, resolve } from "node:path";

const ROOT = resolve(import.meta.dirname, "../..");

/** A new folder inside the project, so that what lies in it finds the installed packages. */
export function folderInProject(): string {
  mkdirSync(join(ROOT, ".local"), { recursive: true });
  return mkdtempSync(join(ROOT, ".local", "test-"));
}

/** Compiles the API, the worker and all else into the folder, laid out as in `dist`. */
export function compilePrograms(folder: string): void {
  const info = ["--tsBuildInfoFile", join(folder, ".tsbuildinfo")];
  compile("-p", join(ROOT, "tsconfig.json"), "--outDir", folder, ...info);
}

/** Compiles files of src/commands into the folder, for programs that run without Vitest. */
export function compileCommands(folder: string, ...names: string[]): void {
  const from = join(ROOT, "src/commands");
  compile(
    "--ignoreConfig",
    ...["--outDir", folder, "--rootDir", from],
    ...["--module", "nodenext", "--target", "es2022", "--types", "node"],
    "--rewriteRelativeImportExtensions",
    ...names.map((name) => join(from, name)),
  );
}

/** Types are checked elsewhere. */
function compile(...options: string[]): void {
  const compiler = join(ROOT, "node_modules/typescript/bin/tsc");
  execFileSync(process.execPath, [compiler, ...options, "--noCheck"], { stdio: "inherit" });
}
