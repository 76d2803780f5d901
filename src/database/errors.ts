/** The SQLSTATE of a database error, whether pg threw it or Prisma wrapped it; null for any other error. */
export function sqlState(error: unknown): string | null {
  for (let cause = error; cause instanceof Object; cause = causeOf(cause)) {
    const { code, originalCode } = cause as { code?: unknown; originalCode?: unknown };
    for (const state of [originalCode, code]) {
      if (typeof state === "string" && /^[0-9A-Z]{5}$/.test(state) && !/^P\d{4}$/.test(state)) {
        return state;
      }
    }
    const prisma = PRISMA_CODES[String(code)];
    if (prisma) return prisma;
  }
  return null;
}

/** Prisma's own names for the states that the application tells apart. */
const PRISMA_CODES: Record<string, string> = { P2002: "23505", P2003: "23503", P2034: "40001" };

function causeOf(error: object): unknown {
  const { cause, meta } = error as {
    cause?: unknown;
    meta?: { driverAdapterError?: unknown };
  };
  return cause ?? meta?.driverAdapterError;
}

/** Whether the error is of a constraint whose name fits. */
export function violates(error: unknown, name: RegExp): boolean {
  for (let cause = error; cause instanceof Object; cause = causeOf(cause)) {
    const { constraint } = cause as { constraint?: string | { index?: string } };
    if (name.test(String(constraint instanceof Object ? constraint.index : constraint)))
      return true;
  }
  return false;
}

/**
 * Whether the database is away or has no connection to spare: nothing was done that stays, or the
 * caller cannot know, and asking again later is what helps.
 */
export function isAway(error: unknown): boolean {
  for (let cause = error; cause instanceof Object; cause = causeOf(cause)) {
    const { code, originalCode, message } = cause as Record<string, unknown>;
    if (AWAY.test(`${String(code)} ${String(originalCode)}`)) return true;
    if (NO_CONNECTION.test(String(message))) return true;
  }
  return false;
}

/** Node's words, PostgreSQL's classes 08 and 57P, too many connections, and Prisma's names for these. */
const AWAY =
  /\b(?:ECONNREFUSED|ECONNRESET|EPIPE|ETIMEDOUT|08[0-9A-Z]{3}|57P0[123]|53300|P1001|P1017|P2024|P2028)\b/;
/** What pg has no code for. */
const NO_CONNECTION = /timeout exceeded when trying to connect|Connection terminated/;
