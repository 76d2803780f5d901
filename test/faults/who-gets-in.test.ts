import pg from "pg";
import { afterAll, beforeAll, describe, expect, test } from "vitest";
import { ROUTES } from "../../src/http/routes/all.ts";
import { clientOf, type Json, sandbox } from "../support/client.ts";
import { type RunningService, startService } from "../support/service.ts";
import { report } from "./support/report.ts";

/** Everything of one account that a path can name. */
interface Stock {
  vehicleId: string;
  otherVehicleId: string;
  taskId: string;
  readingId: string;
  workRecordId: string;
  layUpId: string;
  meterChangeId: string;
  memberId: string;
  keyId: string;
  reminderId: string;
  messageId: string;
  feedId: string;
  endpointId: string;
}

/**
 * The matrix: for each operation what a caller of each kind gets on account A's own machine. Operations
 * that are not named follow the default of their method; lists answer 200 and are looked through.
 */
const ROLES = ["manager", "mechanic", "rider", "otherRider"] as const;
const MATRIX: Record<string, Record<(typeof ROLES)[number], "yes" | "forbidden" | "missing">> = {
  getVehicle: { manager: "yes", mechanic: "yes", rider: "yes", otherRider: "missing" },
  getForecast: { manager: "yes", mechanic: "yes", rider: "yes", otherRider: "missing" },
  getTask: { manager: "yes", mechanic: "yes", rider: "yes", otherRider: "missing" },
  getWorkRecord: { manager: "yes", mechanic: "yes", rider: "yes", otherRider: "missing" },
  getServiceHistory: { manager: "yes", mechanic: "yes", rider: "yes", otherRider: "missing" },
  getReminder: { manager: "yes", mechanic: "yes", rider: "yes", otherRider: "missing" },
  changeVehicle: {
    manager: "yes",
    mechanic: "forbidden",
    rider: "forbidden",
    otherRider: "missing",
  },
  changeTask: { manager: "yes", mechanic: "forbidden", rider: "forbidden", otherRider: "missing" },
  removeTask: { manager: "yes", mechanic: "forbidden", rider: "forbidden", otherRider: "missing" },
  postReading: { manager: "yes", mechanic: "yes", rider: "yes", otherRider: "missing" },
  logWork: { manager: "yes", mechanic: "yes", rider: "yes", otherRider: "missing" },
  addLayUp: { manager: "yes", mechanic: "yes", rider: "yes", otherRider: "missing" },
  addMember: { manager: "yes", mechanic: "forbidden", rider: "forbidden", otherRider: "forbidden" },
  listApiKeys: {
    manager: "forbidden",
    mechanic: "forbidden",
    rider: "forbidden",
    otherRider: "forbidden",
  },
  makeApiKey: {
    manager: "forbidden",
    mechanic: "forbidden",
    rider: "forbidden",
    otherRider: "forbidden",
  },
  addCalendarFeed: {
    manager: "yes",
    mechanic: "forbidden",
    rider: "forbidden",
    otherRider: "forbidden",
  },
  getCalendarFeed: { manager: "yes", mechanic: "missing", rider: "yes", otherRider: "missing" },
  changeCalendarFeed: { manager: "yes", mechanic: "missing", rider: "yes", otherRider: "missing" },
  removeCalendarFeed: { manager: "yes", mechanic: "missing", rider: "yes", otherRider: "missing" },
  addWebhookEndpoint: {
    manager: "forbidden",
    mechanic: "forbidden",
    rider: "forbidden",
    otherRider: "forbidden",
  },
  getWebhookEndpoint: {
    manager: "forbidden",
    mechanic: "forbidden",
    rider: "forbidden",
    otherRider: "forbidden",
  },
  changeAccount: {
    manager: "forbidden",
    mechanic: "forbidden",
    rider: "forbidden",
    otherRider: "forbidden",
  },
};

const BODIES: Record<string, unknown> = {
  changeVehicle: { group: "East" },
  changeTask: { minutes: 20 },
  postReading: { value: 620 },
  logWork: { doneAt: "2026-05-01", by: { name: "x" } },
  addLayUp: { from: "2027-11-01", to: "2028-03-01" },
  addMember: { name: "New", email: "new@example.org", role: "rider" },
  makeApiKey: { name: "more", scopes: ["read"] },
  addCalendarFeed: { name: "All machines", memberId: null },
  changeCalendarFeed: { name: "Renamed" },
  addWebhookEndpoint: { url: "https://fleet.example.org/two" },
  changeAccount: { name: "Mine now" },
};

describe("who gets in, and how far", () => {
  let service: RunningService;
  let account: Awaited<ReturnType<typeof sandbox>>;
  let other: Awaited<ReturnType<typeof sandbox>>;
  let stock: Stock;
  let asked = 0;
  const keys = {} as Record<(typeof ROLES)[number], string>;

  beforeAll(async () => {
    service = await startService();
    account = await sandbox(service, "2026-04-01T08:00:00Z");
    other = await sandbox(service, "2026-04-01T08:00:00Z");
    await fill();
  });
  afterAll(async () => {
    report({
      fault:
        "every route with no key, a mistyped, revoked, foreign, bound key, each role, foreign ids",
      ...{ backend: "-", tries: asked, due: 0, sent: 0, lost: 0, repeated: 0 },
      note: `${ROUTES.length} operations`,
    });
    await service.stop();
  });

  async function made(path: string, body: unknown): Promise<Json> {
    const answer = await account.post(path, body);
    if (answer.status !== 201) throw new Error(`${path}: ${JSON.stringify(answer.body)}`);
    return answer.body;
  }

  async function fill(): Promise<void> {
    const member = async (role: string) =>
      (await made("/v1/members", { name: role, email: `${role}@example.org`, role })).id as string;
    const ids = {
      manager: await member("manager"),
      mechanic: await member("mechanic"),
      rider: await member("rider"),
      otherRider: await member("rider"),
    };
    const scopes = ["read", "readings:write", "write", "admin"];
    for (const role of ROLES) {
      keys[role] = (await made("/v1/api-keys", { name: role, scopes, memberId: ids[role] })).key;
    }
    const machine = { kind: "motorcycle", meterUnit: "km", inServiceOn: "2026-03-01" };
    const vehicle = await made("/v1/vehicles", {
      ...machine,
      name: "One",
      responsibleMemberId: ids.rider,
    });
    const second = await made("/v1/vehicles", { ...machine, name: "Two" });
    const at = `/v1/vehicles/${vehicle.id}`;
    const task = await made(`${at}/tasks`, {
      title: "Oil",
      every: { distance: 1000, months: 12 },
      lastWork: "never",
    });
    const reading = await made(`${at}/readings`, { value: 500 });
    const work = await made(`${at}/work-records`, {
      doneAt: "2026-03-20",
      by: { name: "Toni" },
      cost: { amount: "80.00", currency: "EUR" },
    });
    const layUp = await made(`${at}/lay-ups`, { from: "2026-11-01", to: "2027-03-01" });
    const change = await made(`${at}/meter-changes`, {
      at: "2026-03-05T08:00:00Z",
      before: 10,
      after: 10,
    });
    const key = await made("/v1/api-keys", { name: "spare", scopes: ["read"] });
    const feed = await made("/v1/calendar-feeds", { name: "Rider's", memberId: ids.rider });
    const hook = { url: "https://fleet.example.org/hook" };
    const endpoint = await made("/v1/webhook-endpoints", hook);
    await account.moveTo("2026-06-20T08:00:00Z");
    const messages = (await account.get("/v1/messages?kind=reminder")).body.items;
    const reminders = (await account.get("/v1/reminders")).body.items;
    stock = {
      vehicleId: vehicle.id,
      otherVehicleId: second.id,
      taskId: task.id,
      readingId: reading.id,
      workRecordId: work.id,
      layUpId: layUp.id,
      meterChangeId: change.id,
      memberId: ids.mechanic,
      keyId: key.id,
      reminderId: reminders[0].id,
      messageId: messages[0].id,
      feedId: feed.id,
      endpointId: endpoint.id,
    };
  }

  const pathOf = (path: string) =>
    path.replaceAll(/\{(\w+)\}/g, (_all, name: string) => String((stock as unknown as Json)[name]));

  const send = (
    operationId: string,
    method: string,
    path: string,
    token: string | null,
    etag = '"1"',
  ) => {
    asked += 1;
    return fetch(service.baseUrl + pathOf(path), {
      method,
      headers: {
        ...(token !== null && { authorization: `Bearer ${token}` }),
        ...(method !== "GET" && method !== "DELETE" && { "content-type": "application/json" }),
        "if-match": etag,
      },
      ...(method !== "GET" &&
        method !== "DELETE" && { body: JSON.stringify(BODIES[operationId] ?? {}) }),
    });
  };

  const keyed = ROUTES.filter(({ access }) => "scope" in access);

  test("no operation opens without a key, or with one that is mistyped", async () => {
    for (const { operationId, method, path } of ROUTES.filter(
      ({ access }) => !("open" in access),
    )) {
      expect((await send(operationId, method, path, null)).status, operationId).toBe(401);
      expect((await send(operationId, method, path, "fw_nonsense")).status, operationId).toBe(401);
    }
  });

  test("another account's key finds nothing of this account under any path", async () => {
    const token = await tokenOf(other);
    for (const { operationId, method, path } of keyed.filter(({ path: one }) =>
      one.includes("{"),
    )) {
      const answer = await send(operationId, method, path, token);
      // A body that cannot be taken is told before anything is looked for, whoever asks.
      expect([404, 422], operationId).toContain(answer.status);
      expect(JSON.stringify(await answer.json())).not.toContain(stock.vehicleId);
    }
  });

  test("foreign ids in body, query, batch and cursor are missing ones, and change nothing", async () => {
    const before = await rowsOfAll();
    const { items } = (await other.get("/v1/vehicles")).body;
    expect(items).toEqual([]);
    const mine = (await other.post("/v1/vehicles", { name: "Mine", kind: "car", meterUnit: "km" }))
      .body;
    const own = await rowsOfAll();
    const { vehicleId, taskId, memberId, keyId, messageId } = stock;
    const refused = [
      await other.post("/v1/vehicles", {
        ...{ name: "Two", kind: "car", meterUnit: "km", responsibleMemberId: memberId },
      }),
      await other.post(`/v1/vehicles/${mine.id}/work-records`, {
        ...{ doneAt: "2026-03-20", by: { memberId }, taskIds: [] },
      }),
      await other.post(`/v1/vehicles/${mine.id}/work-records`, {
        ...{ doneAt: "2026-03-20", by: { name: "x" }, taskIds: [taskId] },
      }),
      await other.post("/v1/api-keys", { name: "x", scopes: ["read"], memberId }),
      await other.post("/v1/api-keys", { name: "x", scopes: ["read"], vehicleIds: [vehicleId] }),
      await other.post("/v1/calendar-feeds", { name: "x", memberId }),
      await other.post(`/v1/api-keys/${keyId}/rotate`, {}),
      await other.post(`/v1/messages/${messageId}/redeliver`),
    ];
    expect(refused.map(({ status }) => status).filter((one) => one !== 422 && one !== 404)).toEqual(
      [],
    );
    const batch = await other.post("/v1/readings/batch", { readings: [{ vehicleId, value: 1 }] });
    expect(batch.body.results[0].status).toBe(404);
    for (const query of [
      ...[`/v1/due?vehicleId=${vehicleId}`, `/v1/events?vehicleId=${vehicleId}`],
      ...[`/v1/reminders?vehicleId=${vehicleId}`, `/v1/reminders?memberId=${memberId}`],
      ...[`/v1/messages?memberId=${memberId}`, `/v1/messages?endpointId=${stock.endpointId}`],
    ]) {
      const answer = await other.get(query);
      expect(answer.status === 404 || answer.body.items.length === 0, query).toBe(true);
    }
    const cursor = (await account.get("/v1/vehicles?limit=1")).body.nextCursor;
    const taken = await other.get(`/v1/vehicles?limit=1&cursor=${encodeURIComponent(cursor)}`);
    expect(JSON.stringify(taken.body)).not.toContain(stock.otherVehicleId);
    expect(JSON.stringify(taken.body)).not.toContain(vehicleId);
    expect(await rowsOfAll()).toEqual(own);
    expect(Object.keys(before)).toEqual(Object.keys(own));
  });

  /** How many rows each table has, whosesoever. */
  async function rowsOfAll(): Promise<Record<string, number>> {
    const client = new pg.Client({ connectionString: service.ownerUrl });
    await client.connect();
    const counts: Record<string, number> = {};
    for (const table of [
      "vehicle",
      "member",
      "api_key",
      "reading",
      "task",
      "work_record",
      "calendar_feed",
    ]) {
      const { rows } = await client.query(`select count(*)::int as n from ${table}`);
      counts[table] = rows[0].n;
    }
    await client.end();
    return counts;
  }

  test("another account's lists show nothing of this account", async () => {
    const token = await tokenOf(other);
    for (const { operationId, path } of keyed.filter(
      ({ method, path: one }) => method === "GET" && !one.includes("{"),
    )) {
      const text = await (await send(operationId, "GET", path, token)).text();
      for (const id of Object.values(stock))
        expect(text.includes(id), `${operationId} shows ${id}`).toBe(false);
    }
  });

  test("a missing id and a foreign id are answered alike", async () => {
    const foreign = await other.get(`/v1/vehicles/${stock.vehicleId}`);
    const missing = await other.get("/v1/vehicles/01900000-0000-7000-8000-00000000dead");
    const bare = ({ instance: _instance, ...problem }: Json) => problem;
    expect(bare(foreign.body)).toEqual(bare(missing.body));
  });

  test("each role has the rights of the matrix and no other", async () => {
    for (const [operationId, rights] of Object.entries(MATRIX)) {
      const route = ROUTES.find((one) => one.operationId === operationId);
      if (!route) throw new Error(`No operation ${operationId}`);
      for (const role of ROLES) {
        // A version that never was: whoever may change is told so, and nothing is changed.
        const answer = await send(operationId, route.method, route.path, keys[role], '"999"');
        const allowed = rights[role] === "yes";
        const expected = { yes: [200, 201, 412], forbidden: [403], missing: [404] }[rights[role]];
        expect(expected, `${role} ${operationId}`).toContain(answer.status);
        expect(answer.ok || answer.status === 412, `${role} ${operationId}`).toBe(allowed);
      }
    }
  });

  test("costs are for those who may see them", async () => {
    const path = `/v1/vehicles/${stock.vehicleId}/work-records/${stock.workRecordId}`;
    const cost = async (token: string) =>
      (await clientOf(service.baseUrl, token).get(path)).body.cost;
    expect(await cost(keys.manager)).toEqual({ amount: "80.00", currency: "EUR" });
    expect(await cost(keys.mechanic)).toBeNull();
    expect(await cost(keys.rider)).toBeNull();
  });

  test("a rider's lists show the rider's own machines alone", async () => {
    const rider = clientOf(service.baseUrl, keys.rider);
    const { items } = (await rider.get("/v1/vehicles")).body;
    expect(items.map(({ id }: Json) => id)).toEqual([stock.vehicleId]);
    const none = clientOf(service.baseUrl, keys.otherRider);
    expect((await none.get("/v1/vehicles")).body.items).toEqual([]);
    expect((await none.get("/v1/due")).body.items).toEqual([]);
    expect((await none.get("/v1/reminders")).body.items).toEqual([]);
  });

  test("a key that is bound to a vehicle sees nothing else, whatever it asks for", async () => {
    const bound = (
      await account.post("/v1/api-keys", {
        name: "phone",
        scopes: ["read", "readings:write"],
        vehicleIds: [stock.vehicleId],
      })
    ).body.key;
    const phone = clientOf(service.baseUrl, bound);
    expect((await phone.get(`/v1/vehicles/${stock.vehicleId}`)).status).toBe(200);
    expect((await phone.get(`/v1/vehicles/${stock.otherVehicleId}`)).status).toBe(404);
    expect(
      (await phone.post(`/v1/vehicles/${stock.otherVehicleId}/readings`, { value: 1 })).status,
    ).toBe(404);
    const batch = await phone.post("/v1/readings/batch", {
      readings: [{ vehicleId: stock.otherVehicleId, value: 1 }],
    });
    expect(batch.body.results[0].status).toBe(404);
    expect((await phone.get("/v1/vehicles")).body.items).toHaveLength(1);
  });

  test("a key without the scope is told which one it lacks; a revoked one opens nothing", async () => {
    const reader = (await account.post("/v1/api-keys", { name: "reader", scopes: ["read"] })).body;
    const client = clientOf(service.baseUrl, reader.key);
    const refused = await client.post(`/v1/vehicles/${stock.vehicleId}/readings`, { value: 700 });
    expect(refused.status).toBe(403);
    expect(refused.body.detail).toContain("readings:write");
    const { headers } = await account.get(`/v1/api-keys/${reader.id}`);
    expect(
      (await account.remove(`/v1/api-keys/${reader.id}`, String(headers.get("etag")))).status,
    ).toBe(204);
    expect((await client.get("/v1/vehicles")).status).toBe(401);
  });

  async function tokenOf(client: typeof other): Promise<string> {
    const { body } = await client.post("/v1/api-keys", {
      name: "all",
      scopes: ["read", "readings:write", "write", "admin"],
    });
    return body.key;
  }
});
