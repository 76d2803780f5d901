import { randomBytes } from "node:crypto";
import { setTimeout as sleep } from "node:timers/promises";
import pg from "pg";
import { inject } from "vitest";

/** A database of a test file's own, migrated and empty. */
export interface TestDatabase {
  /** As its owner, a superuser whom row-level security does not bind. */
  readonly ownerUrl: string;
  /** As the application's role. */
  readonly appUrl: string;
  /**
   * Removes the database.
   * @throws Error when a session is still open after two seconds: a pool that nobody ended
   */
  drop(): Promise<void>;
}

const LEAK_LIMIT_MS = 2000;

/** Clones the migrated template; takes some 50 ms. */
export async function freshDatabase(): Promise<TestDatabase> {
  const ownerUrl = inject("ownerUrl");
  if (ownerUrl === undefined) {
    throw new Error("No database runs here: vitest.config.ts lists the folders that get one.");
  }
  const name = `test_${randomBytes(6).toString("hex")}`;
  await asOwner(ownerUrl, `create database ${name} template ${inject("template")}`);
  const own = new URL(ownerUrl);
  own.pathname = `/${name}`;
  const app = new URL(own);
  app.username = "forewheel_app";
  app.password = inject("appPassword");
  return {
    ownerUrl: own.href,
    appUrl: app.href,
    drop: async () => {
      const leaked = await openSessions(ownerUrl, name);
      await asOwner(ownerUrl, `drop database ${name} with (force)`);
      if (leaked.length > 0) throw new Error(`Sessions left open: ${leaked.join("; ")}`);
    },
  };
}

async function openSessions(ownerUrl: string, name: string): Promise<string[]> {
  const limit = Date.now() + LEAK_LIMIT_MS;
  for (;;) {
    const rows = await asOwner(
      ownerUrl,
      `select usename || ' after ' || left(query, 80) as session from pg_stat_activity
       where datname = '${name}' and backend_type = 'client backend'`,
    );
    if (rows.length === 0 || Date.now() > limit) return rows.map(({ session }) => String(session));
    await sleep(50);
  }
}

async function asOwner(ownerUrl: string, sql: string): Promise<Record<string, unknown>[]> {
  const client = new pg.Client({ connectionString: ownerUrl });
  await client.connect();
  try {
    return (await client.query<Record<string, unknown>>(sql)).rows;
  } finally {
    await client.end();
  }
}
