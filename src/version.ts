import { existsSync, readFileSync } from "node:fs";
import { dirname, join } from "node:path";
import { fileURLToPath } from "node:url";

/** The version in package.json, which stands at the top of the project for sources and compiled code alike. */
export const VERSION: string = versionAbove(dirname(fileURLToPath(import.meta.url)));

function versionAbove(folder: string): string {
  const file = join(folder, "package.json");
  if (existsSync(file)) {
    return (JSON.parse(readFileSync(file, "utf8")) as { version: string }).version;
  }
  const parent = dirname(folder);
  if (parent === folder) throw new Error("package.json is missing above the program.");
  return versionAbove(parent);
}
