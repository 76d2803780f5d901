import { ConfigFault, type Environment } from "../config.ts";

/**
 * Reads a part's configuration for a process that is about to start. A wrong setting ends the
 * process with code 1 and the faults as sentences on standard error, without a stack trace.
 */
export function configured<T>(read: (env: Environment) => T, env: Environment = process.env): T {
  try {
    return read(env);
  } catch (error) {
    if (!(error instanceof ConfigFault)) throw error;
    console.error(error.faults.join("\n"));
    process.exit(1);
  }
}
