import { PrismaPg } from "@prisma/adapter-pg";
import pg from "pg";
import { PrismaClient } from "./generated/client.ts";
import { PrismaPool } from "./prisma-pool.ts";

export interface Connections {
  pool: pg.Pool;
  /** For what may take minutes, so that it never holds the connections of what takes milliseconds. */
  bulk: pg.Pool;
  prisma: PrismaClient;
  close(): Promise<void>;
}

export interface PoolSettings {
  connections: number;
  /** Called when an idle connection breaks: the pool has replaced it already. */
  onBroken(error: Error): void;
}

/** Imports and exports that one process works on at a time. */
const BULK_CONNECTIONS = 4;

/** One pool for pg and Prisma, whose clients send statements without awaiting the one before. Sessions are pinned to UTC; Prisma would store instants wrong otherwise. */
export function connect(appUrl: string, settings: PoolSettings): Connections {
  const pool = new pg.Pool({
    connectionString: appUrl,
    max: settings.connections,
    connectionTimeoutMillis: 5_000,
    pipeline: true,
    options: "-c timezone=UTC -c plan_cache_mode=force_generic_plan",
  });
  const bulk = new pg.Pool({
    connectionString: appUrl,
    max: BULK_CONNECTIONS,
    connectionTimeoutMillis: 5_000,
    options: "-c timezone=UTC",
  });
  for (const each of [pool, bulk]) watch(each, settings.onBroken);
  const prisma = new PrismaClient({
    adapter: new PrismaPg(new PrismaPool(pool), { statementNameGenerator: statementNames() }),
  });
  return {
    pool,
    bulk,
    prisma,
    async close() {
      await prisma.$disconnect();
      await Promise.all([pool.end(), bulk.end()]);
    },
  };
}

/** Statements that a connection keeps prepared; lists of ids of any length would fill its memory. */
const PREPARED = 500;
const MOST_VALUES = 24;

/** Names for Prisma's statements, so that each is parsed and planned once a connection. */
function statementNames() {
  const names = new Map<string, string>();
  return ({ sql, args }: { sql: string; args: unknown[] }): string => {
    const known = names.get(sql);
    if (known !== undefined) return known;
    // pg sends one without a name where the name is empty.
    if (args.length > MOST_VALUES || names.size >= PREPARED) return "";
    const name = `prisma-${names.size}`;
    names.set(sql, name);
    return name;
  };
}

function watch(pool: pg.Pool, onBroken: PoolSettings["onBroken"]): void {
  pool.on("error", onBroken);
  // One that breaks while it is lent out, between two statements, fails the next; unheard, it would end the process.
  pool.on("connect", (client) => client.on("error", () => {}));
}

/**
 * Refuses a role that row-level security does not stop: a superuser, one with BYPASSRLS, or an owner
 * of the tables. Answers the sentence that says what to do, or null when all is well.
 */
export async function roleFault(pool: pg.Pool): Promise<string | null> {
  const { rows } = await pool.query<{ name: string; exempt: boolean; owns: boolean }>(
    `select current_user as name, (rolsuper or rolbypassrls) as exempt,
            exists (select from pg_tables where schemaname = 'public' and tableowner = current_user) as owns
     from pg_roles where rolname = current_user`,
  );
  const role = rows[0];
  if (!role || (!role.exempt && !role.owns)) return null;
  return `APP_DATABASE_URL connects as "${role.name}", whom row-level security does not bind; use forewheel_app, which "npm run migrate" makes.`;
}
