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
