import type { Pool } from "pg";
import { roleFault } from "../src/database/client.ts";

const LOOK_AGAIN_MS = 1_000;

/**
 * Waits for a database that is not up or not migrated yet: start order must not matter. A role that
 * row-level security does not bind ends the process.
 */
export async function untilMigrated(pool: Pool, onError: (error: Error) => void): Promise<void> {
  for (;;) {
    try {
      const fault = await roleFault(pool);
      if (fault !== null) {
        console.error(fault);
        process.exit(1);
      }
      await pool.query("select from worker_position");
      return;
    } catch (error) {
      onError(error as Error);
      await new Promise((resolve) => setTimeout(resolve, LOOK_AGAIN_MS));
    }
  }
}
