import { type DestinationStream, type Logger, pino } from "pino";

/** Lines kept for a reader of standard output that is slower than we are; beyond that they are dropped. */
const KEPT_BYTES = 4 * 1024 * 1024;

/**
 * Logs to standard output, without ever waiting for whoever reads it: a reader that has stopped
 * reading would otherwise stop the process as well.
 */
export function logTo(level: string, name: string): Logger {
  const destination = pino.destination({ dest: 1, sync: false, maxLength: KEPT_BYTES });
  destination.on("error", () => {});
  return loggerOn(destination, level, name);
}

/** A logger whose lines go anywhere, and tell of an error no more than `toldOfError` does. */
export function loggerOn(destination: DestinationStream, level: string, name: string): Logger {
  return pino({ level, name, serializers: { err: toldOfError } }, destination);
}

/** How many causes of an error are told. */
const DEPTH = 4;

/**
 * What a log says of an error. Only what is named here: libraries hang onto their errors what they
 * were doing, which may be a command with its password, an address with a secret in it, or a row.
 */
export function toldOfError(error: unknown, depth = DEPTH): unknown {
  if (!(error instanceof Error)) return { type: typeof error };
  const { name, message, stack, cause, code } = error as Error & { code?: unknown };
  const { severity, table, constraint } = error as {
    severity?: string;
    table?: string;
    constraint?: string;
  };
  return {
    ...{ type: name, message: masked(message), stack: masked(stack ?? "") },
    ...(typeof code === "string" && { code }),
    ...(typeof severity === "string" && { severity, table, constraint }),
    ...(cause !== undefined && depth > 0 && { cause: toldOfError(cause, depth - 1) }),
  };
}

/** The password in an address, should a message hold one. */
function masked(text: string): string {
  return text.replaceAll(/(\w+:\/\/[^\s:/@]*:)[^\s@]+@/g, "$1...@");
}
