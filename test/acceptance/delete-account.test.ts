import pg from "pg";
import { uuidv7 } from "uuidv7";
import { afterAll, beforeAll, describe, expect, test } from "vitest";
import { Links } from "../../src/application/links.ts";
import { type SendDeps, sendMessage } from "../../src/application/mail/send-message.ts";
import { connect } from "../../src/database/client.ts";
import { outboxOn } from "../../src/database/outbox.ts";
import { databaseOn } from "../../src/database/tenancy.ts";
import { mailRenderer } from "../../src/render/mail/renderer.ts";
import { type Answer, type Client, clientOf, type Json } from "../support/client.ts";
import { type RunningService, startService } from "../support/service.ts";
import { until } from "../support/until.ts";
import { waitingForLocks } from "../support/waiting-for-locks.ts";

const NAME = "Invented riders & co";
const SCOPES = ["read", "readings:write", "write", "admin"];
const NOBODY = "00000000-0000-0000-0000-000000000000";

interface Filled {
  id: string;
  token: string;
  client: Client;
  vehicleId: string;
  ownerId: string;
  managerId: string;
}

describe("an account that is deleted for good", { timeout: 120_000 }, () => {
  let service: RunningService;
  let owner: pg.Client;

  beforeAll(async () => {
    service = await startService();
    owner = new pg.Client({ connectionString: service.ownerUrl });
    await owner.connect();
  });
  afterAll(async () => {
    await owner.end();
    await service.stop();
  });

  /** An account with something in it of every kind that the API can make here. */
  async function filled(): Promise<Filled> {
    const operator = clientOf(service.baseUrl, service.operatorToken);
    const person = { name: "Robin", email: "robin@example.org", timeZone: "UTC" };
    const account = { name: NAME, owner: person, sandbox: true, clock: "2026-04-01T08:00:00Z" };
    const key = { "idempotency-key": uuidv7() };
    const made = (await operator.post("/v1/accounts", account, key)).body;
    const token = made.apiKey.key;
    const client = clientOf(service.baseUrl, token);
    const post = async (path: string, body: unknown, headers = {}): Promise<Json> => {
      const answer = await client.post(path, body, headers);
      if (answer.status > 299) throw new Error(`${path}: ${JSON.stringify(answer.body)}`);
      return answer.body;
    };
    const manager = { name: "Toni", email: "toni@example.org", role: "manager" };
    const managerId = (await post("/v1/members", { ...manager, reminders: { digest: "weekly" } }))
      .id;
    const machine = { name: "One", kind: "motorcycle", meterUnit: "km" };
    const bought = { inServiceOn: "2026-03-01", responsibleMemberId: managerId };
    const vehicleId = (await post("/v1/vehicles", { ...machine, ...bought })).id;
    const at = `/v1/vehicles/${vehicleId}`;
    const every = { distance: { km: 1000 }, months: 3 };
    const oil = await post(`${at}/tasks`, { title: "Oil", every, lastWork: "never" });
    await post(`${at}/readings`, { value: 500 }, { "idempotency-key": "reading-1" });
    await post(`${at}/work-records`, {
      ...{ doneAt: "2026-03-20", by: { name: "Toni" }, taskIds: [oil.id] },
    });
    await post(`${at}/lay-ups`, { from: "2026-11-01", to: "2027-03-01" });
    await post(`${at}/meter-changes`, { at: "2026-03-05T08:00:00Z", before: 10, after: 10 });
    await post("/v1/schedules", { name: "Shared", tasks: [{ title: "Chain", every }] });
    await post("/v1/calendar-feeds", { name: "All" });
    await post("/v1/webhook-endpoints", { url: "https://fleet.example.org/hook" });
    await post("/v1/api-keys/short-lived", { scopes: ["read"] });
    await client.patch("/v1/account", { allowedOrigins: ["https://dash.example.org"] }, '"1"');
    await post("/v1/account/clock", { to: "2026-07-20T08:00:00Z" });
    return {
      ...{ id: made.account.id, token, client, vehicleId },
      ...{ ownerId: made.owner.id, managerId },
    };
  }

  const deletion = async (client: Client, name = NAME): Promise<Answer<Json>> => {
    const { headers } = await client.get("/v1/account");
    return remove(client, name, String(headers.get("etag")));
  };
  const remove = (client: Client, name: string, etag: string) =>
    client.remove(`/v1/account?name=${encodeURIComponent(name)}`, etag);

  /** Rows of the account in every table that has an account_id, as the database's owner sees them. */
  async function rowsOf(accountId: string): Promise<Record<string, number>> {
    const { rows: tables } = await owner.query<{ name: string }>(
      "select table_name as name from information_schema.columns where table_schema = 'public' and column_name = 'account_id' and table_name <> 'deleted_account' order by 1",
    );
    const counts: Record<string, number> = {};
    for (const { name } of tables) {
      const text = `select count(*)::int as n from ${name} where account_id = $1`;
      counts[name] = (await owner.query(text, [accountId])).rows[0].n;
    }
    const own = "select count(*)::int as n from account where id = $1";
    return { ...counts, account: (await owner.query(own, [accountId])).rows[0].n };
  }
  const sum = (counts: Record<string, number>) =>
    Object.values(counts).reduce((all, n) => all + n, 0);

  /** Everything that the database still says of it, wherever. */
  async function mentions(text: string): Promise<string[]> {
    const { rows: tables } = await owner.query<{ name: string }>(
      "select tablename as name from pg_tables where schemaname = 'public' order by 1",
    );
    const found: string[] = [];
    for (const { name } of tables) {
      const like = `select count(*)::int as n from ${name} t where to_jsonb(t)::text like $1`;
      if ((await owner.query(like, [`%${text}%`])).rows[0].n > 0) found.push(name);
    }
    return found;
  }

  test("leaves nothing in any table, and says how much there was", async () => {
    const [account, other] = [await filled(), await filled()];
    const before = await rowsOf(account.id);
    const others = await rowsOf(other.id);
    const none = Object.keys(before).filter((table) => before[table] === 0);
    // Filled by what these tests do not use: everything else has rows that must go.
    expect(none.sort()).toEqual(["import", "import_row", "link_use"]);

    const deleted = await deletion(account.client);
    expect(deleted.status).toBe(200);
    expect(deleted.body).toMatchObject({ accountId: account.id, remaining: 0 });
    expect(sum(await rowsOf(account.id))).toBe(0);
    expect(Object.keys(deleted.body.rows)).toHaveLength(Object.keys(before).length);
    expect(sum(deleted.body.rows)).toBe(sum(before) + 1);
    expect(deleted.body.rows).toMatchObject({ accounts: 1, vehicles: 1, readings: 1, apiKeys: 2 });
    expect(deleted.body.rows.keptAnswers).toBe((before.idempotency ?? 0) + 1);

    expect(await mentions(account.id)).toEqual(["deleted_account"]);
    expect(await mentions(account.ownerId)).toEqual([]);
    const tombstone = await owner.query("select rows from deleted_account where account_id = $1", [
      account.id,
    ]);
    expect(JSON.stringify(tombstone.rows)).not.toContain("robin");
    expect(await rowsOf(other.id)).toEqual(others);
    expect((await other.client.get(`/v1/vehicles/${other.vehicleId}`)).status).toBe(200);
    expect((await account.client.get("/v1/account")).status).toBe(401);
  });

  test("is proved to whoever holds the proof, and to nobody else", async () => {
    const account = await filled();
    const { body } = await deletion(account.client);
    const open = (proof: string) => fetch(`${service.baseUrl}/v1/deleted-accounts/${proof}`);
    const shown = await open(body.proof);
    expect([shown.status, await shown.json()]).toEqual([200, body]);
    const other = body.proof.startsWith("A") ? "B" : "A";
    for (const proof of [`${other}${body.proof.slice(1)}`, body.proof.slice(0, -2), account.id]) {
      expect((await open(proof)).status).toBe(404);
    }
    // What no request can leave behind, put there past the trigger that forbids it.
    await owner.query("begin");
    await owner.query("set local session_replication_role = replica");
    await owner.query(
      "insert into idempotency (account_id, scope, key, fingerprint, created_at) values ($1, 'x', 'x', 'x', now())",
      [account.id],
    );
    await owner.query("commit");
    expect(((await (await open(body.proof)).json()) as Json).remaining).toBe(1);
  });

  test("is deleted only by its exact name, at its version, with an owner's rights", async () => {
    const { client, managerId, ownerId, vehicleId, id } = await filled();
    const key = async (bounds: object) => {
      const made = await client.post("/v1/api-keys", { name: "x", scopes: SCOPES, ...bounds });
      return clientOf(service.baseUrl, made.body.key);
    };
    const { headers } = await client.get("/v1/account");
    const etag = String(headers.get("etag"));
    for (const name of ["Invented riders & Co", "Invented riders", `${NAME} `, "x"]) {
      const refused = await remove(client, name, etag);
      expect([refused.status, refused.body.errors?.[0].parameter]).toEqual([422, "name"]);
    }
    expect((await client.remove("/v1/account", etag)).status).toBe(422);
    expect((await remove(client, NAME, '"999"')).status).toBe(412);
    const bare = await fetch(`${service.baseUrl}/v1/account?name=x`, {
      method: "DELETE",
      headers: { authorization: `Bearer ${await tokenOf(client)}` },
    });
    expect(bare.status).toBe(428);
    for (const bounds of [{ memberId: managerId }, { vehicleIds: [vehicleId] }]) {
      expect((await remove(await key(bounds), NAME, etag)).status).toBe(403);
    }
    const writer = await key({ scopes: ["read", "write"] });
    expect((await remove(writer, NAME, etag)).status).toBe(403);
    expect((await rowsOf(id)).account).toBe(1);
    expect((await remove(await key({ memberId: ownerId }), NAME, etag)).status).toBe(200);
    expect(sum(await rowsOf(id))).toBe(0);
  });

  async function tokenOf(client: Client): Promise<string> {
    return (await client.post("/v1/api-keys", { name: "y", scopes: SCOPES })).body.key;
  }

  test("takes no reading any more that was on its way; none of them fails", async () => {
    const account = await filled();
    const posts = Array.from({ length: 12 }, (_, n) =>
      account.client.post(
        `/v1/vehicles/${account.vehicleId}/readings`,
        { value: 600 + n },
        { "idempotency-key": `on-its-way-${n}` },
      ),
    );
    const adds = Array.from({ length: 6 }, (_, n) =>
      account.client.post("/v1/members", { name: `M${n}`, email: `m${n}@example.org` }),
    );
    const deleted = await deletion(account.client);
    expect([deleted.status, deleted.body.remaining]).toEqual([200, 0]);
    for (const { status } of await Promise.all([...posts, ...adds])) {
      expect([201, 401, 404, 409]).toContain(status);
    }
    expect(sum(await rowsOf(account.id))).toBe(0);
    expect(
      (await owner.query("select from rate_count where who = $1", [account.id])).rowCount,
    ).toBe(0);
  });

  /** A file for the account to take in. */
  async function upload({ token }: Filled, kind: string, lines: string[]) {
    const answer = await fetch(`${service.baseUrl}/v1/imports?kind=${kind}`, {
      method: "POST",
      headers: { authorization: `Bearer ${token}`, "content-type": "text/csv" },
      body: lines.join("\r\n"),
    });
    return { status: answer.status, body: (await answer.json()) as Json };
  }

  test("is told as a key that opens nothing where a request began before it", async () => {
    const account = await filled();
    const { id, client, vehicleId } = account;
    const known = { name: "Kim", email: "kim@example.org", externalId: "kim" };
    expect((await client.post("/v1/members", known)).status).toBe(201);
    await owner.query("begin");
    await owner.query("delete from idempotency where account_id = $1", [id]);
    await owner.query("delete from account where id = $1", [id]);
    const member = { name: "Alex", email: "alex@example.org" };
    const machine = { name: "Two", kind: "moped", meterUnit: "km" };
    const begun = [
      ...[client.post("/v1/members", member), client.post("/v1/vehicles", machine)],
      upload(account, "readings", ["vehicleId,value"]),
      upload(account, "vehicles", ["name,kind,meterUnit", "Three,moped,km"]),
      // Of the account these write nothing but the answer that is kept for their key.
      client.post("/v1/members", known, { "idempotency-key": "known" }),
      client.post(
        "/v1/readings/batch",
        { readings: [{ vehicleId, value: 700 }] },
        { "idempotency-key": "batch" },
      ),
    ];
    // The mark of when the key was last used waits too.
    const isOfARequest = (query: string) => !query.includes("last_used_at");
    await until(
      async () => (await waitingForLocks(owner)).filter(isOfARequest).length === begun.length,
    );
    await owner.query("commit");
    for (const { status, body } of await Promise.all(begun)) {
      expect(status).toBe(401);
      expect(body.detail).toBe("The account of this key was deleted.");
    }
    expect(sum(await rowsOf(id))).toBe(0);
  });

  test("is no trouble to a worker that holds one of its messages, or is woken for one", async () => {
    const account = await filled();
    const { managerId, client } = account;
    const bound = { name: "x", scopes: ["write"], memberId: managerId };
    const manager = clientOf(service.baseUrl, (await client.post("/v1/api-keys", bound)).body.key);
    const invited = { name: "Sascha", email: "sascha@example.org" };
    expect((await manager.post("/v1/members", invited)).status).toBe(201);
    const waiting = (await client.get("/v1/messages?status=waiting&kind=confirmAddress")).body;
    const messageId = String(waiting.items[0]?.id);
    const connections = connect(service.appUrl, { connections: 4, onBroken: () => {} });
    let deleted: Answer<Json> | undefined;
    const deps: SendDeps = {
      ...{ database: databaseOn(connections), outbox: outboxOn(connections), ids: uuidv7 },
      ...{ renderer: mailRenderer, links: new Links("s".repeat(32), "http://127.0.0.1:1") },
      ...{ clock: Date.now, mailDomain: "example.org", leaseMs: 60_000, longestSendMs: 1_000 },
      sender: {
        relays: false,
        async send() {
          deleted = await deletion(account.client);
          return { kind: "accepted", answer: "250 taken" };
        },
      },
    };
    const now = Date.parse("2026-07-20T08:00:00Z");
    const report = await sendMessage(account.id, messageId, now, deps);
    expect(deleted?.status).toBe(200);
    expect(report).toMatchObject({ result: "lost" });
    expect(report).not.toHaveProperty("fault");
    expect((await sendMessage(account.id, messageId, now, deps)).result).toBe("notClaimed");
    expect(sum(await rowsOf(account.id))).toBe(0);
    expect(await rowsOf(NOBODY)).toMatchObject({ account: 0 });
    await connections.close();
  });
});
