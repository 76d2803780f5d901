import { readFile } from "node:fs/promises";
import pg from "pg";
import { afterAll, beforeAll, describe, expect, test } from "vitest";
import { catalogueOf } from "../../src/database/catalogue.ts";
import { applyMigrations, readMigrations } from "../../src/database/migrations.ts";
import { connected } from "../support/connections.ts";

describe("migrations", () => {
  let stage: Awaited<ReturnType<typeof connected>>;
  beforeAll(async () => {
    stage = await connected();
  });
  afterAll(() => stage.stop());

  const owner = async <T>(work: (client: pg.Client) => Promise<T>): Promise<T> => {
    const client = new pg.Client({ connectionString: stage.database.ownerUrl });
    await client.connect();
    try {
      return await work(client);
    } finally {
      await client.end();
    }
  };

  test("leave the catalogue that prisma/schema.sql writes out", async () => {
    const written = await readFile("prisma/schema.sql", "utf8");
    expect(await owner(catalogueOf)).toBe(written);
  });

  test("are applied once by two migrators at once", async () => {
    const migrations = await readMigrations("prisma/migrations");
    const [one, other] = await Promise.all([
      owner((client) => applyMigrations(client, migrations)),
      owner((client) => applyMigrations(client, migrations)),
    ]);
    expect([...one, ...other]).toEqual([]);
    const { rows } = await owner((client) =>
      client.query("select migration_name from _prisma_migrations"),
    );
    expect(rows).toHaveLength(migrations.length);
  });

  test("that were changed after they were applied are refused by name", async () => {
    const [first] = await readMigrations("prisma/migrations");
    if (!first) throw new Error("no migration");
    await expect(
      owner((client) => applyMigrations(client, [{ ...first, checksum: "0".repeat(64) }])),
    ).rejects.toThrow(first.name);
  });

  test("that fail leave nothing behind", async () => {
    const broken = {
      name: "9999_broken",
      sql: "create table half (id int); select nonsense;",
      checksum: "1",
    };
    await expect(owner((client) => applyMigrations(client, [broken]))).rejects.toThrow(
      "9999_broken",
    );
    const { rows } = await owner((client) => client.query("select to_regclass('half') as half"));
    expect(rows).toEqual([{ half: null }]);
  });
});
