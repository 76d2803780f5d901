import { type Logger, pino } from "pino";

/** Lines kept for a reader of standard output that is slower than we are; beyond that they are dropped. */
const KEPT_BYTES = 4 * 1024 * 1024;

/**
 * Logs to standard output, without ever waiting for whoever reads it: a reader that has stopped
 * reading would otherwise stop the process as well.
 */
export function logTo(level: string, name: string): Logger {
  const destination = pino.destination({ dest: 1, sync: false, maxLength: KEPT_BYTES });
  destination.on("error", () => {});
  return pino({ level, name }, destination);
}
