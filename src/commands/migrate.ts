import { existsSync } from "node:fs";
import { writeFile } from "node:fs/promises";
import { dirname, join } from "node:path";
import { fileURLToPath, pathToFileURL } from "node:url";
import { runMigrations } from "bullmq";
import pg from "pg";
import { migrateConfig } from "../config.ts";
import { catalogueOf } from "../database/catalogue.ts";
import { applyMigrations, QUEUE_SCHEMA, readMigrations } from "../database/migrations.ts";
import { configured } from "./configured.ts";

/**
 * Brings the database of `ownerUrl` to the newest state and makes sure that the application's role
 * exists, owns nothing and can be stopped by row-level security. Answers the names of what was
 * applied; safe to call from many processes at once.
 */
export async function migrate(ownerUrl: string, appPassword: string): Promise<string[]> {
  const client = new pg.Client({ connectionString: ownerUrl, options: "-c timezone=UTC" });
  await client.connect();
  try {
    await ensureApplicationRole(client, appPassword);
    const applied = await applyMigrations(client, await readMigrations(migrationsFolder()));
    await prepareQueue(client);
    return applied;
  } finally {
    await client.end();
  }
}

/** Roles belong to the whole server: another database's migrator may be making the same one now. */
async function ensureApplicationRole(client: pg.Client, password: string): Promise<void> {
  const secret = client.escapeLiteral(password);
  await client.query(`do $$
    begin
      perform pg_advisory_xact_lock(4207118504);
      if not exists (select from pg_roles where rolname = 'forewheel_app') then
        create role forewheel_app;
      end if;
      alter role forewheel_app login nosuperuser nobypassrls nocreatedb nocreaterole password ${secret};
    end
  $$`);
}

/**
 * The queue's own tables, in a schema of their own. They are made even where the queue runs on
 * Redis, so that a worker can be moved from one to the other by its settings alone. The queue makes
 * a sequence of its own for each queue, hence `create` in that schema and nowhere else.
 */
async function prepareQueue(client: pg.Client): Promise<void> {
  await runMigrations(client, QUEUE_SCHEMA);
  await client.query(`
    grant usage, create on schema ${QUEUE_SCHEMA} to forewheel_app;
    grant select, insert, update, delete on all tables in schema ${QUEUE_SCHEMA} to forewheel_app;
    grant usage on all sequences in schema ${QUEUE_SCHEMA} to forewheel_app;
    grant execute on all functions in schema ${QUEUE_SCHEMA} to forewheel_app;
  `);
}

/** Writes the catalogue that the migrations come to into prisma/schema.sql. */
async function writeCatalogue(ownerUrl: string): Promise<void> {
  const client = new pg.Client({ connectionString: ownerUrl });
  await client.connect();
  try {
    await writeFile(join(dirname(migrationsFolder()), "schema.sql"), await catalogueOf(client));
  } finally {
    await client.end();
  }
}

/** The folder stands at the top of the project, two levels higher for compiled code. */
function migrationsFolder(): string {
  let folder = dirname(fileURLToPath(import.meta.url));
  while (!existsSync(join(folder, "prisma", "migrations"))) {
    const parent = dirname(folder);
    if (parent === folder) throw new Error("The folder prisma/migrations is missing.");
    folder = parent;
  }
  return join(folder, "prisma", "migrations");
}

if (import.meta.url === pathToFileURL(process.argv[1] ?? "").href) {
  const config = configured(migrateConfig);
  const applied = await migrate(config.databaseUrl, config.appDatabasePassword);
  if (process.argv.includes("--write-catalogue")) await writeCatalogue(config.databaseUrl);
  console.log(applied.length === 0 ? "Nothing to migrate." : `Applied ${applied.join(", ")}.`);
}
