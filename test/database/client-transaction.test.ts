import pg from "pg";
import { afterAll, beforeAll, beforeEach, describe, expect, test } from "vitest";
import { clientStatement, clientTransaction } from "../../src/database/client-transaction.ts";
import { connected } from "../support/connections.ts";

const ACCOUNT = "01900000-0000-7000-8000-000000000003";
const SETTINGS = { "forewheel.account": ACCOUNT };
const SEEN = "select current_setting('forewheel.account', true) as account";

describe("a transaction on pg's own client", () => {
  let stage: Awaited<ReturnType<typeof connected>>;
  let owner: pg.Client;

  beforeAll(async () => {
    stage = await connected();
    owner = new pg.Client({ connectionString: stage.database.ownerUrl });
    await owner.connect();
    await owner.query(
      "create table noted (n int primary key); grant select, insert on noted to forewheel_app",
    );
  });
  beforeEach(() => owner.query("truncate noted"));
  afterAll(async () => {
    await owner.end();
    await stage.stop();
  });

  const noted = async () => (await owner.query("select n from noted order by n")).rows;
  const insert = (n: number) => ["note", "insert into noted values ($1::int)", [n]] as const;

  test("has written what was sent, once it has ended", async () => {
    await clientTransaction(stage.connections.pool, SETTINGS, async (sql) => {
      await sql.send(...insert(1));
      await sql.send(...insert(2));
    });
    expect(await noted()).toEqual([{ n: 1 }, { n: 2 }]);
  });

  test("fails and leaves nothing behind when something that was sent fails", async () => {
    const failing = clientTransaction(stage.connections.pool, SETTINGS, async (sql) => {
      await sql.send(...insert(1));
      await sql.send(...insert(1));
      await sql.send(...insert(2));
    });
    await expect(failing).rejects.toMatchObject({ code: "23505" });
    expect(await noted()).toEqual([]);
  });

  test("leaves nothing behind when the work fails while statements are on their way", async () => {
    const failing = clientTransaction(stage.connections.pool, SETTINGS, async (sql) => {
      await sql.send(...insert(1));
      throw new Error("thought better of it");
    });
    await expect(failing).rejects.toThrow("thought better of it");
    expect(await noted()).toEqual([]);
  });

  test("ends its settings with itself, so that a connection carries no account on", async () => {
    const { pool } = stage.connections;
    const within = await clientTransaction(pool, SETTINGS, (sql) => sql.query("seen", SEEN, []));
    expect(within).toEqual([{ account: ACCOUNT }]);
    expect((await pool.query(SEEN)).rows[0].account).not.toBe(ACCOUNT);
  });

  test("of one statement gives its rows, and its connection back though it failed", async () => {
    const { pool } = stage.connections;
    const seen = { name: "seen", text: SEEN, values: [] };
    expect(await clientStatement(pool, SETTINGS, seen)).toEqual([{ account: ACCOUNT }]);
    const wrong = { name: "wrong", text: "select 1 / $1::int", values: [0] };
    await expect(clientStatement(pool, SETTINGS, wrong)).rejects.toMatchObject({ code: "22012" });
    expect(pool.idleCount).toBe(pool.totalCount);
    expect(await clientStatement(pool, SETTINGS, seen)).toEqual([{ account: ACCOUNT }]);
  });
});
