import type { Connections } from "./client.ts";
import { clientStatement } from "./client-transaction.ts";

const ASK = `select exists (select from allowed_origin where origin = $1::text) as allowed`;

/** An answer is good for so long. */
const KEPT_MS = 5_000;
const MOST_KEPT = 1_000;
/** An origin is a scheme, a host and a port: what is longer is none. */
const LONGEST = 300;

/**
 * Whether any account lets pages of an origin call: asked before a key is shown. Answers are kept for
 * some seconds. Where the database cannot be asked the page gets nothing to read.
 */
export function originsAllowed({ pool }: Connections, onError: (error: Error) => void) {
  const kept = new Map<string, { allowed: Promise<boolean>; until: number }>();
  const ask = async (origin: string): Promise<boolean> => {
    const statement = { name: "asking-origin", text: ASK, values: [origin] };
    const settings = { "forewheel.origin": origin };
    const rows = await clientStatement<{ allowed: boolean }>(pool, settings, statement);
    return rows[0]?.allowed ?? false;
  };
  return async (origin: string): Promise<boolean> => {
    if (origin === "null" || origin.length > LONGEST) return false;
    const now = performance.now();
    const known = kept.get(origin);
    if (known && known.until > now) return known.allowed;
    if (kept.size >= MOST_KEPT) kept.clear();
    const allowed = ask(origin).catch((error: Error) => {
      kept.delete(origin);
      onError(error);
      return false;
    });
    kept.set(origin, { allowed, until: now + KEPT_MS });
    return allowed;
  };
}
