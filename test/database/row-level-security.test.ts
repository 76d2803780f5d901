import pg from "pg";
import { afterAll, beforeAll, describe, expect, test } from "vitest";
import { roleFault } from "../../src/database/client.ts";
import { connected } from "../support/connections.ts";

const ONE = "01900000-0000-7000-8000-000000000001";
const OTHER = "01900000-0000-7000-8000-000000000002";
const NOW = "2026-05-01T08:00:00Z";

describe("row-level security", () => {
  let stage: Awaited<ReturnType<typeof connected>>;
  let tables: string[];

  beforeAll(async () => {
    stage = await connected();
    const owner = new pg.Client({ connectionString: stage.database.ownerUrl });
    await owner.connect();
    for (const [id, name] of [
      [ONE, "one"],
      [OTHER, "other"],
    ]) {
      await owner.query(
        "insert into account (id, name, created_at, updated_at) values ($1, $2, $3, $3)",
        [id, name, NOW],
      );
      await owner.query(
        `insert into member (account_id, id, name, email, role, locale, time_zone, unit, reminders, created_at, updated_at)
         values ($1, $1, $2, 'a@example.org', 'owner', 'en', 'UTC', 'km', '{}', $3, $3)`,
        [id, name, NOW],
      );
    }
    const { rows } = await owner.query<{ name: string }>(
      "select tablename as name from pg_tables where schemaname = 'public' and tablename <> '_prisma_migrations' order by 1",
    );
    tables = rows.map(({ name }) => name);
    await owner.end();
  });
  afterAll(() => stage.stop());

  const within = async <T>(
    settings: Record<string, string>,
    work: (client: pg.PoolClient) => Promise<T>,
  ) => {
    const client = await stage.connections.pool.connect();
    try {
      await client.query("begin");
      for (const [name, value] of Object.entries(settings)) {
        await client.query("select set_config($1, $2, true)", [name, value]);
      }
      return await work(client);
    } finally {
      await client.query("rollback");
      client.release();
    }
  };

  test("is forced on every table", async () => {
    const { rows } = await stage.connections.pool.query<{ relname: string }>(
      "select relname from pg_class where relnamespace = 'public'::regnamespace and relkind = 'r' and relrowsecurity and relforcerowsecurity order by 1",
    );
    expect(rows.map(({ relname }) => relname)).toEqual(tables);
  });

  test("shows nothing at all outside an account", async () => {
    for (const table of tables) {
      const { rows } = await within({}, (client) => client.query(`select * from ${table}`));
      expect(rows, table).toEqual([]);
    }
  });

  test("shows an account its own rows and no other's", async () => {
    const { rows } = await within({ "forewheel.account": ONE }, (client) =>
      client.query("select name from member"),
    );
    expect(rows).toEqual([{ name: "one" }]);
  });

  test("refuses to write a row into another account", async () => {
    await expect(
      within({ "forewheel.account": ONE }, (client) =>
        client.query(
          "insert into lay_up (account_id, id, vehicle_id, from_on, created_at, updated_at) values ($1, $1, $1, '2026-01-01', $2, $2)",
          [OTHER, NOW],
        ),
      ),
    ).rejects.toThrow(/row-level security/);
  });

  test("a foreign key cannot point into another account", async () => {
    await expect(
      within({ "forewheel.account": ONE }, (client) =>
        client.query(
          `insert into vehicle (account_id, id, name, kind, meter_unit, responsible_member_id, created_at, updated_at)
           values ($1, $1, 'x', 'other', 'km', $2, $3, $3)`,
          [ONE, OTHER, NOW],
        ),
      ),
    ).rejects.toThrow(/foreign key/);
  });

  test("the worker's scope looks through reminders and messages, never through members", async () => {
    const { rows } = await within({ "forewheel.scope": "worker" }, (client) =>
      client.query("select * from member"),
    );
    expect(rows).toEqual([]);
    const accounts = await within({ "forewheel.scope": "worker" }, (client) =>
      client.query("select id from account"),
    );
    expect(accounts.rows).toHaveLength(2);
  });

  test("a setting of one transaction is gone in the next on the same connection", async () => {
    await within({ "forewheel.account": ONE }, (client) => client.query("select 1"));
    const { rows } = await within({}, (client) => client.query("select * from member"));
    expect(rows).toEqual([]);
  });

  test("the application's role is bound, the owner is refused", async () => {
    expect(await roleFault(stage.connections.pool)).toBeNull();
    const owner = new pg.Pool({ connectionString: stage.database.ownerUrl });
    expect(await roleFault(owner)).toContain("forewheel_app");
    await owner.end();
  });
});
