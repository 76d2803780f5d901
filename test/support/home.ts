import { chmodSync, mkdtempSync, writeFileSync } from "node:fs";
import { tmpdir } from "node:os";
import { join } from "node:path";

/** Folders of this name hold the data of servers that tests have started. */
export const HOME_PREFIX = "forewheel-test-";

/** A new folder for servers of this process: what it leaves behind when killed, the next run clears away. */
export function makeHome(): string {
  const home = mkdtempSync(join(tmpdir(), HOME_PREFIX));
  // The database's own user must get in when root runs the tests.
  chmodSync(home, 0o755);
  writeFileSync(join(home, "owner.pid"), String(process.pid));
  return home;
}
