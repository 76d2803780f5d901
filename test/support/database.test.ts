import pg from "pg";
import { describe, expect, inject, it } from "vitest";
import { freshDatabase } from "./database.ts";

async function connected(url: string): Promise<pg.Client> {
  const client = new pg.Client({ connectionString: url });
  client.on("error", () => {});
  await client.connect();
  return client;
}

describe("a test file's own database", () => {
  it("is migrated, and its application role is bound by row-level security", async () => {
    const database = await freshDatabase();
    const client = await connected(database.appUrl);
    const { rows } = await client.query(
      "select current_user::text as name, rolsuper or rolbypassrls as unbound from pg_roles where rolname = current_user",
    );
    expect(rows).toEqual([{ name: "forewheel_app", unbound: false }]);
    const tables = await client.query("select from pg_tables where schemaname = 'public'");
    expect(tables.rowCount).toBeGreaterThan(0);
    await client.end();
    await database.drop();
  });

  it("shares nothing with another one", async () => {
    const [one, two] = await Promise.all([freshDatabase(), freshDatabase()]);
    const first = await connected(one.ownerUrl);
    const second = await connected(two.ownerUrl);
    await first.query("create table only_here ()");
    await expect(second.query("select from only_here")).rejects.toThrow(/does not exist/);
    await Promise.all([first.end(), second.end()]);
    await Promise.all([one.drop(), two.drop()]);
  });

  it("tells of a session that nobody ended, and is removed all the same", async () => {
    const database = await freshDatabase();
    const leaked = await connected(database.ownerUrl);
    await leaked.query("select 'forgotten'");
    await expect(database.drop()).rejects.toThrow(/Sessions left open: .*'forgotten'/);
    const owner = await connected(inject("ownerUrl"));
    const name = new URL(database.ownerUrl).pathname.slice(1);
    const { rowCount } = await owner.query("select from pg_database where datname = $1", [name]);
    expect(rowCount).toBe(0);
    await owner.end();
  });
});
