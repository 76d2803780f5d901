import pg from "pg";

export interface Statement {
  name: string;
  times: number;
  /** From its sending to its answer, all times together. */
  ms: number;
}

/** What a server did while it was traced. */
export interface Trace {
  statements: Statement[];
  /** Times that there was nothing on its way to the database, and then something was. */
  waits: number;
  /** Time with something on its way to the database. */
  waitingMs: number;
  /** Processor time of the server's own process. */
  processorMs: number;
}

interface Running {
  statements: Map<string, Statement>;
  waits: number;
  waitingMs: number;
  processor: NodeJS.CpuUsage;
}

let current: Running | null = null;
let onTheWay = 0;
let leftAt = 0;

/** From now on statements are counted and timed, until `endTrace`. */
export function beginTrace(): void {
  current = { statements: new Map(), waits: 0, waitingMs: 0, processor: process.cpuUsage() };
}

export function endTrace(): Trace {
  if (!current) throw new Error("no trace was begun");
  const { statements, waits, waitingMs, processor } = current;
  current = null;
  const { user, system } = process.cpuUsage(processor);
  return {
    statements: [...statements.values()],
    waits,
    waitingMs,
    processorMs: (user + system) / 1000,
  };
}

/** Puts the counter between pg's client and its callers. */
export function installTrace(): void {
  const original = pg.Client.prototype.query as (...args: unknown[]) => unknown;
  pg.Client.prototype.query = function traced(this: pg.Client, ...args: unknown[]) {
    // pg's pool hands a callback in, everybody else takes a promise.
    const last = args.at(-1);
    const settle = current ? note(current, args[0]) : () => {};
    if (typeof last !== "function") {
      const result = original.apply(this, args) as Promise<unknown>;
      result.then(settle, settle);
      return result;
    }
    const heard = (...answer: unknown[]) => {
      settle();
      last(...answer);
    };
    return original.apply(this, [...args.slice(0, -1), heard]);
  } as typeof pg.Client.prototype.query;
}

/** Notes a statement that is sent now; what it answers is to be called when the answer is there. */
function note(trace: Running, asked: unknown): () => void {
  const started = performance.now();
  if (onTheWay === 0) {
    trace.waits += 1;
    leftAt = started;
  }
  onTheWay += 1;
  const statement = statementOf(trace, asked);
  return () => {
    const now = performance.now();
    onTheWay -= 1;
    if (onTheWay === 0) trace.waitingMs += now - leftAt;
    statement.times += 1;
    statement.ms += now - started;
  };
}

function statementOf({ statements }: Running, asked: unknown): Statement {
  const query = asked as { name?: string; text?: string } | string;
  const text = typeof query === "string" ? query : (query.name ?? query.text ?? "");
  // Statements with figures written into them are told apart by their first words alone.
  const name = text.replaceAll("\n", " ").slice(0, 40);
  const known = statements.get(name) ?? { name, times: 0, ms: 0 };
  statements.set(name, known);
  return known;
}
