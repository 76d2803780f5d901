import { chmod, mkdtemp, rm } from "node:fs/promises";
import { constants, tmpdir } from "node:os";
import { join } from "node:path";
import { type EmbeddedOptions, start } from "./embedded-postgres.ts";
import { migrate } from "./migrate.ts";

/** The migrated database of one command. */
export interface OwnDatabase {
  /** As its owner, a superuser. */
  readonly ownerUrl: string;
  /** As the role that row-level security binds. */
  readonly appUrl: string;
}

const PASSWORD = "forewheel_app";
const ENDING = ["SIGINT", "SIGTERM", "SIGHUP"] as const;

/**
 * Does the work on a PostgreSQL of its own, which goes with all its data afterwards, also where the
 * command is interrupted: a Ctrl-C does not reach the server, which stands outside of the terminal's
 * group.
 */
export async function withOwnDatabase<T>(
  command: string,
  options: EmbeddedOptions,
  work: (database: OwnDatabase) => Promise<T>,
): Promise<T> {
  const folder = await mkdtemp(join(tmpdir(), `forewheel-${command}-`));
  // PostgreSQL may have to run as another user than this one.
  await chmod(folder, 0o755);
  const starting = start(join(folder, "postgres"), options);
  const clear = async () => {
    // One that did not come up stays, with the log that its error names.
    await (await starting).stop(true);
    await rm(folder, { recursive: true, force: true });
  };
  let ended: Promise<never> | null = null;
  const end = (signal: (typeof ENDING)[number]) => {
    const exit = () => process.exit(128 + constants.signals[signal]);
    ended ??= clear().then(exit, exit);
  };
  for (const signal of ENDING) process.on(signal, end);
  try {
    const { ownerUrl } = await starting;
    await migrate(ownerUrl, PASSWORD);
    const appUrl = new URL(ownerUrl);
    appUrl.username = "forewheel_app";
    appUrl.password = PASSWORD;
    return await work({ ownerUrl, appUrl: appUrl.href });
  } finally {
    // What fails because its server went is not told.
    await (ended ?? clear());
    for (const signal of ENDING) process.off(signal, end);
  }
}
