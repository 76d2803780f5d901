import { AsyncLocalStorage } from "node:async_hooks";
import pg from "pg";
import { opening, type Settings } from "./client-transaction.ts";
import { inOneWrite } from "./sql.ts";

const openings = new AsyncLocalStorage<Settings>();

/** Within the work Prisma opens its transactions with these settings. */
export function openedWith<T>(settings: Settings, work: () => Promise<T>): Promise<T> {
  return openings.run(settings, work);
}

/**
 * The pool as Prisma sees it. Prisma waits for its BEGIN, and a scope that is set afterwards would be
 * waited for again; here both travel ahead of the first statement, as in `clientTransaction`. Should
 * they fail, that statement fails, and row-level security lets it see and write nothing.
 */
export class PrismaPool extends pg.Pool {
  readonly #pool: pg.Pool;

  constructor(pool: pg.Pool) {
    super(pool.options);
    this.#pool = pool;
  }

  // biome-ignore lint/suspicious/noExplicitAny: pg declares a second form with a callback, which Prisma does not use
  override async connect(): Promise<any> {
    const client = await this.#pool.connect();
    const settings = openings.getStore();
    return settings === undefined ? client : lent(client, settings);
  }
}

const NOTHING = { command: "BEGIN", rowCount: 0, oid: 0, fields: [], rows: [] };

/** What Prisma's adapter uses of a client. */
function lent(client: pg.PoolClient, settings: Settings) {
  return {
    async query(asked: pg.QueryConfig) {
      if (asked.text !== "BEGIN") return client.query(asked);
      inOneWrite(client);
      client.query(opening(settings)).catch(() => {});
      return NOTHING;
    },
    release: (broken?: Error | boolean) => client.release(broken),
    on: (name: "error", heard: (error: Error) => void) => client.on(name, heard),
    removeListener: (name: "error", heard: (error: Error) => void) =>
      client.removeListener(name, heard),
  };
}
