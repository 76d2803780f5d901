import { execFile } from "node:child_process";
import { promisify } from "node:util";

const PROGRAM = "node_modules/@redocly/cli/bin/cli.js";
/** Two whole descriptions compared print more than the default of a megabyte. */
const MOST_BYTES = 256 * 1024 * 1024;

/** Runs the kept tool on API descriptions and gives what it prints. @throws Error with its words where it finds a fault */
export async function redocly(args: readonly string[]): Promise<string> {
  const { stdout } = await promisify(execFile)(process.execPath, [PROGRAM, ...args], {
    env: { ...process.env, REDOCLY_TELEMETRY: "off", REDOCLY_SUPPRESS_UPDATE_NOTICE: "true" },
    maxBuffer: MOST_BYTES,
  });
  return stdout;
}
