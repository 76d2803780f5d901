import pg from "pg";

export interface Statement {
  name: string;
  ms: number;
}

export interface Trace {
  statements: Statement[];
  /** Times that the request had nothing on its way to the database and then waited for it. */
  waits: number;
}

let current: Trace | null = null;
let onTheWay = 0;

/** From now on statements are counted and timed, until `endTrace`. */
export function beginTrace(): void {
  current = { statements: [], waits: 0 };
}

export function endTrace(): Trace {
  const traced = current ?? { statements: [], waits: 0 };
  current = null;
  return traced;
}

/** Puts the counter between pg's client and its callers. */
export function installTrace(): void {
  const original = pg.Client.prototype.query as (...args: unknown[]) => unknown;
  pg.Client.prototype.query = function traced(this: pg.Client, ...args: unknown[]) {
    const result = original.apply(this, args);
    if (current && result instanceof Promise) note(current, args[0], result);
    return result;
  } as typeof pg.Client.prototype.query;
}

function note(trace: Trace, asked: unknown, result: Promise<unknown>): void {
  const started = performance.now();
  const query = asked as { name?: string; text?: string } | string;
  const text = typeof query === "string" ? query : (query.name ?? query.text ?? "");
  if (onTheWay === 0) trace.waits += 1;
  onTheWay += 1;
  const settle = () => {
    onTheWay -= 1;
    trace.statements.push({ name: text.slice(0, 40), ms: performance.now() - started });
  };
  result.then(settle, settle);
}
