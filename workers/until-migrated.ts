import type { Pool } from "pg";
import { roleFault } from "../src/database/client.ts";

const LOOK_AGAIN_MS = 1_000;

/**
 * Waits for a database that is not up or not migrated yet: start order must not matter. The first
 * look at it tells whether it is a restored copy, before anything is sent. A role that row-level
 * security does not bind ends the process.
 */
export async function untilMigrated(
  pool: Pool,
  firstLook: () => Promise<unknown>,
  onError: (error: Error) => void,
): Promise<void> {
  for (;;) {
    try {
      const fault = await roleFault(pool);
      if (fault !== null) {
        console.error(fault);
        process.exit(1);
      }
      await firstLook();
      return;
    } catch (error) {
      onError(error as Error);
      await new Promise((resolve) => setTimeout(resolve, LOOK_AGAIN_MS));
    }
  }
}
