import { createHash, randomUUID } from "node:crypto";
import { readdir, readFile } from "node:fs/promises";
import { join } from "node:path";
import type { Client } from "pg";

export interface Migration {
  name: string;
  sql: string;
  checksum: string;
}

/** Where the queue keeps its own tables when it runs on PostgreSQL. */
export const QUEUE_SCHEMA = "queue";

/** Any number that no one else takes: two migrators wait for each other on it. */
const ADVISORY_LOCK = 4_207_118_503;

/** Reads the numbered folders of prisma/migrations in their order. */
export async function readMigrations(folder: string): Promise<Migration[]> {
  const entries = await readdir(folder, { withFileTypes: true });
  const names = entries.filter((entry) => entry.isDirectory()).map((entry) => entry.name);
  return Promise.all(
    names.sort().map(async (name) => {
      const sql = await readFile(join(folder, name, "migration.sql"), "utf8");
      return { name, sql, checksum: createHash("sha256").update(sql).digest("hex") };
    }),
  );
}

/**
 * Applies what has not been applied yet, each migration whole or not at all, and answers the names
 * of those. The table that keeps count has the columns that `prisma migrate deploy` writes, so the
 * two agree about a database. Prisma's own engine is not used: through a driver adapter it cuts a
 * script at every semicolon, inside function bodies too, and runs the pieces one by one.
 */
export async function applyMigrations(client: Client, migrations: Migration[]): Promise<string[]> {
  await client.query("select pg_advisory_lock($1)", [ADVISORY_LOCK]);
  try {
    await client.query(LEDGER);
    const done = await appliedMigrations(client);
    const applied: string[] = [];
    for (const migration of migrations) {
      const checksum = done.get(migration.name);
      if (checksum === undefined) {
        await applyOne(client, migration);
        applied.push(migration.name);
      } else if (checksum !== migration.checksum) {
        throw new Error(
          `Migration ${migration.name} was changed after it was applied to this database. Restore its file and put the change into a new migration.`,
        );
      }
    }
    return applied;
  } finally {
    await client.query("select pg_advisory_unlock($1)", [ADVISORY_LOCK]);
  }
}

const LEDGER = `create table if not exists _prisma_migrations (
  id                  varchar(36) primary key not null,
  checksum            varchar(64) not null,
  finished_at         timestamptz,
  migration_name      varchar(255) not null,
  logs                text,
  rolled_back_at      timestamptz,
  started_at          timestamptz not null default now(),
  applied_steps_count integer not null default 0
)`;

async function appliedMigrations(client: Client): Promise<Map<string, string>> {
  const { rows } = await client.query<{ migration_name: string; checksum: string }>(
    "select migration_name, checksum from _prisma_migrations where finished_at is not null and rolled_back_at is null",
  );
  return new Map(rows.map((row) => [row.migration_name, row.checksum]));
}

async function applyOne(client: Client, migration: Migration): Promise<void> {
  await client.query("begin");
  try {
    await client.query(migration.sql);
    await client.query(
      `insert into _prisma_migrations (id, checksum, migration_name, finished_at, applied_steps_count)
       values ($1, $2, $3, now(), 1)`,
      [randomUUID(), migration.checksum, migration.name],
    );
    await client.query("commit");
  } catch (error) {
    await client.query("rollback");
    throw new Error(`Migration ${migration.name} failed and left nothing behind.`, {
      cause: error,
    });
  }
}
