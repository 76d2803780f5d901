import { subscribe, unsubscribe } from "node:diagnostics_channel";
import { existsSync } from "node:fs";
import { createServer } from "node:http";
import type { AddressInfo } from "node:net";
import type { FastifyInstance, RouteOptions } from "fastify";
import pg from "pg";
import { SMTPServer } from "smtp-server";
import { afterAll, beforeAll, describe, expect, test } from "vitest";
import { SECURITY } from "../../src/content/security.ts";
import { connect, roleFault } from "../../src/database/client.ts";
import { makeApiKey } from "../../src/http/api-key.ts";
import { needsIfMatch } from "../../src/http/route.ts";
import { ROUTES } from "../../src/http/routes/all.ts";
import { smtpSender } from "../../src/outbound/smtp-sender.ts";
import { webhookSender } from "../../src/outbound/webhook-sender.ts";
import { type Client, clientOf, type Json, sandbox } from "../support/client.ts";
import { type RunningService, startService } from "../support/service.ts";

const NIL = "01900000-0000-7000-8000-00000000dead";
const ALL = ["read", "readings:write", "write", "admin"];
const RATES = {
  key: { requests: 100_000, seconds: 1 },
  address: { requests: 100_000, seconds: 1 },
  refusedKeys: { requests: 100_000, seconds: 60 },
};

/** Every route that the framework was told of, as method and path. */
const served = new Set<string>();
const onFramework = (message: unknown) => {
  (message as { fastify: FastifyInstance }).fastify.addHook("onRoute", (route: RouteOptions) => {
    for (const method of [route.method].flat()) served.add(`${method} ${route.url}`);
  });
};

const described = new Set<string>();
/** The tests of one risk, by its id in that list. */
function risk(id: string, tests: () => void): void {
  described.add(id);
  const title = SECURITY.find((point) => point.id === id)?.title ?? "not on the page";
  describe(`${id} ${title}`, { timeout: 120_000 }, tests);
}

let service: RunningService;
let club: Awaited<ReturnType<typeof sandbox>>;
let other: Awaited<ReturnType<typeof sandbox>>;
let ids: Record<string, string>;
let riderId: string;

beforeAll(async () => {
  subscribe("fastify.initialization", onFramework);
  service = await startService({ rates: RATES });
  unsubscribe("fastify.initialization", onFramework);
  club = await sandbox(service, "2026-04-01T08:00:00Z");
  other = await sandbox(service, "2026-04-01T08:00:00Z");
  await fill();
});
afterAll(() => service.stop());

async function made(client: Client, path: string, body: unknown): Promise<Json> {
  const answer = await client.post(path, body);
  if (answer.status !== 201) throw new Error(`${path}: ${JSON.stringify(answer.body)}`);
  return answer.body;
}

async function keyOf(client: Client, body: object): Promise<Client> {
  const { key } = await made(client, "/v1/api-keys", { name: "x", scopes: ALL, ...body });
  return clientOf(service.baseUrl, key);
}

async function fill(): Promise<void> {
  const rider = { name: "Sascha", email: "sascha@example.org", role: "rider" };
  riderId = (await made(club, "/v1/members", rider)).id;
  const machine = { kind: "motorcycle", meterUnit: "km", inServiceOn: "2026-01-01" };
  const mine = { ...machine, name: "One", responsibleMemberId: riderId };
  const vehicleId = (await made(club, "/v1/vehicles", mine)).id;
  const at = `/v1/vehicles/${vehicleId}`;
  const due = { title: "Oil", every: { months: 3 }, lastWork: "never" };
  const work = { doneAt: "2026-03-20", by: { name: "Toni" } };
  const cost = { amount: "80.00", currency: "EUR" };
  ids = {
    vehicleId,
    memberId: riderId,
    taskId: (await made(club, `${at}/tasks`, due)).id,
    readingId: (await made(club, `${at}/readings`, { value: 500 })).id,
    workRecordId: (await made(club, `${at}/work-records`, { ...work, cost })).id,
    layUpId: (await made(club, `${at}/lay-ups`, { from: "2026-11-01" })).id,
    keyId: (await made(club, "/v1/api-keys", { name: "spare", scopes: ["read"] })).id,
    feedId: (await made(club, "/v1/calendar-feeds", { name: "All" })).id,
    endpointId: (await made(club, "/v1/webhook-endpoints", { url: "https://hooks.example.org/" }))
      .id,
  };
}

const pathOf = (path: string, names: Record<string, string> = ids) =>
  path.replaceAll(/\{(\w+)\}/g, (_all, name: string) => names[name] ?? NIL);

/** A request by hand, with what a client of these tests would not send. */
const send = (method: string, path: string, token: string | null, more: RequestInit = {}) =>
  fetch(service.baseUrl + path, {
    method,
    ...more,
    headers: {
      ...(token !== null && { authorization: `Bearer ${token}` }),
      ...(more.body !== undefined && { "content-type": "application/json" }),
      "if-match": "*",
      ...more.headers,
    },
  });

const tokenFor = async (client: Client, body: object = {}): Promise<string> =>
  (await made(client, "/v1/api-keys", { name: "y", scopes: ALL, ...body })).key;

risk("API1:2023", () => {
  test("whatever id of another account is read, nothing is there", async () => {
    const token = await tokenFor(other);
    const read = ROUTES.filter(
      ({ method, path, access }) => method === "GET" && path.includes("{") && "scope" in access,
    );
    expect(read.length).toBeGreaterThan(12);
    for (const { path, operationId } of read) {
      const foreign = await send("GET", pathOf(path), token);
      const missing = await send("GET", pathOf(path, {}), token);
      expect([foreign.status, missing.status], operationId).toEqual([404, 404]);
      const bare = async (answer: Response) => ({
        ...((await answer.json()) as Json),
        instance: "",
      });
      expect(await bare(foreign), operationId).toEqual(await bare(missing));
    }
  });

  test("a rider's key and a vehicle's key find no other machine of their own account", async () => {
    const machine = { name: "Two", kind: "car", meterUnit: "km" };
    const { id } = await made(club, "/v1/vehicles", machine);
    for (const bounds of [{ memberId: riderId }, { vehicleIds: [ids.vehicleId] }]) {
      const bound = await keyOf(club, bounds);
      expect((await bound.get(`/v1/vehicles/${ids.vehicleId}`)).status).toBe(200);
      expect((await bound.get(`/v1/vehicles/${id}`)).status).toBe(404);
      expect((await bound.post(`/v1/vehicles/${id}/readings`, { value: 1 })).status).toBe(404);
    }
  });
});

risk("API2:2023", () => {
  const account = (headers: Record<string, string>, query = "") =>
    fetch(`${service.baseUrl}/v1/account${query}`, { headers }).then(({ status }) => status);

  test("only a whole, known key in its own header opens anything", async () => {
    const token = await tokenFor(club);
    expect(await account({ authorization: `Bearer ${token}` })).toBe(200);
    const login = Buffer.from(`key:${token}`).toString("base64");
    for (const headers of [
      ...[{}, { "x-api-key": token }, { cookie: `key=${token}` }],
      ...[{ authorization: token }, { authorization: `Basic ${login}` }],
      ...[makeApiKey().text, `${token}x`, token.slice(0, -1)].map((text) => ({
        authorization: `Bearer ${text}`,
      })),
    ]) {
      expect(await account(headers as Record<string, string>), JSON.stringify(headers)).toBe(401);
    }
    expect(await account({}, `?key=${token}`)).toBe(401);
  });

  test("a key that has expired or was revoked opens nothing; its secret is not stored", async () => {
    const soon = new Date(Date.now() + 1_500).toISOString();
    const brief = await keyOf(club, { expiresAt: soon });
    const spare = await made(club, "/v1/api-keys", { name: "spare", scopes: ["read"] });
    await club.remove(`/v1/api-keys/${spare.id}`, '"1"');
    expect((await clientOf(service.baseUrl, spare.key).get("/v1/account")).status).toBe(401);
    await new Promise((resolve) => setTimeout(resolve, 1_600));
    expect((await brief.get("/v1/account")).status).toBe(401);
    const owner = new pg.Client({ connectionString: service.ownerUrl });
    await owner.connect();
    const { rows } = await owner.query("select to_jsonb(k)::text as row from api_key k");
    await owner.end();
    expect(rows.map(({ row }) => row).join()).not.toContain(String(spare.key).split("_")[2]);
  });

  test("whoever tries keys is stopped, in all processes together", async () => {
    const rates = { ...RATES, refusedKeys: { requests: 20, seconds: 60 } };
    const pair = [await startService({ rates })];
    pair.push(await startService({ rates }, pair[0]));
    const tries = Array.from({ length: 40 }, (_, n) =>
      clientOf(pair[n % 2]?.baseUrl ?? "", makeApiKey().text).get("/v1/account"),
    );
    const statuses = (await Promise.all(tries)).map(({ status }) => status);
    expect(statuses.filter((status) => status === 401)).toHaveLength(20);
    expect(statuses.filter((status) => status === 429)).toHaveLength(20);
    for (const one of pair.reverse()) await one.stop();
  });
});

risk("API3:2023", () => {
  test("no operation takes a field that is not its own", async () => {
    const token = await tokenFor(club);
    const taking = ROUTES.filter(({ body }) => body !== undefined);
    expect(taking.length).toBeGreaterThan(25);
    for (const { method, path, operationId, access } of taking) {
      const by = "operator" in access ? service.operatorToken : token;
      for (const field of ["accountId", "isAdmin", "createdAt", "version"]) {
        const body = JSON.stringify({ [field]: NIL });
        const answer = await send(method, pathOf(path), by, { body });
        expect(answer.status, operationId).toBe(422);
        const { errors } = (await answer.json()) as Json;
        const pointers = errors.map(({ pointer }: Json) => pointer);
        expect(pointers, operationId).toContain(`#/${field}`);
      }
    }
  });

  test("nobody gives themselves a role or an owner's rights", async () => {
    const rider = await keyOf(club, { memberId: riderId });
    const { headers } = await club.get(`/v1/members/${riderId}`);
    const raised = await rider.patch(
      ...[`/v1/members/${riderId}`, { role: "owner" }, String(headers.get("etag"))],
    );
    expect([403, 422]).toContain(raised.status);
    expect((await club.get(`/v1/members/${riderId}`)).body.role).toBe("rider");
  });

  test("costs and hashes are not shown to those who may not see them", async () => {
    const path = `/v1/vehicles/${ids.vehicleId}/work-records/${ids.workRecordId}`;
    expect((await club.get(path)).body.cost.amount).toBe("80.00");
    expect((await (await keyOf(club, { memberId: riderId })).get(path)).body.cost).toBeNull();
    const shown = JSON.stringify((await club.get("/v1/api-keys?limit=200")).body);
    expect(shown).not.toMatch(/secret|hash|publicId/i);
  });
});

risk("API4:2023", () => {
  test("bodies, headers, pages, lists and ids have their bounds", async () => {
    const token = await tokenFor(club);
    const big = JSON.stringify({ name: "x".repeat(1_100_000) });
    const cases = Array.from({ length: 1_001 }, (_, n) => ({ id: String(n) }));
    const asked = [
      [413, send("POST", "/v1/vehicles", token, { body: big })],
      [431, send("GET", "/v1/account", token, { headers: { "x-long": "x".repeat(20_000) } })],
      [422, send("GET", "/v1/vehicles?limit=201", token)],
      [422, send("POST", "/v1/forecasts", token, { body: JSON.stringify({ cases }) })],
      [414, send("GET", `/v1/vehicles/${"x".repeat(600)}`, token)],
    ] as const;
    for (const [status, answer] of asked) expect((await answer).status).toBe(status);
  });

  test("every list has a page size and an end to it", () => {
    const lists = ROUTES.filter(({ query }) => query !== undefined && "cursor" in query.shape);
    expect(lists.length).toBeGreaterThan(10);
    for (const { query, operationId } of lists) {
      expect(query?.safeParse({ limit: "201" }).success, operationId).toBe(false);
      expect(query?.safeParse({ limit: "0" }).success, operationId).toBe(false);
    }
  });

  test("what goes beyond the quota is refused, with the time to wait", async () => {
    const tight = await startService({ rates: { ...RATES, key: { requests: 5, seconds: 30 } } });
    const account = await sandbox(tight, "2026-04-01T08:00:00Z");
    const answers = await Promise.all([1, 2, 3, 4, 5, 6].map(() => account.get("/v1/account")));
    const refused = answers.filter(({ status }) => status === 429);
    expect(refused).toHaveLength(1);
    expect(Number(refused[0]?.headers.get("retry-after"))).toBeGreaterThan(0);
    await tight.stop();
  });
});

risk("API5:2023", () => {
  test("each operation that administers refuses a key without that scope", async () => {
    const writer = await tokenFor(club, { scopes: ["read", "readings:write", "write"] });
    const administering = ROUTES.filter(
      ({ access }) => "scope" in access && access.scope === "admin",
    );
    expect(administering.length).toBeGreaterThan(8);
    for (const { method, path, operationId } of administering) {
      expect((await send(method, pathOf(path), writer)).status, operationId).toBe(403);
    }
  });

  test("a rider whose key has every scope administers nothing all the same", async () => {
    const rider = await tokenFor(club, { memberId: riderId });
    const bound = await tokenFor(club, { vehicleIds: [ids.vehicleId] });
    for (const token of [rider, bound]) {
      const { key } = { key: clientOf(service.baseUrl, token) };
      const scopes = { name: "more", scopes: ["read"] };
      expect((await key.post("/v1/api-keys", scopes)).status).toBe(403);
      expect((await key.get("/v1/api-keys")).status).toBe(403);
      expect((await key.patch("/v1/account", { name: "Mine" }, "*")).status).toBe(403);
      expect((await key.remove("/v1/account?name=Invented%20riders", "*")).status).toBe(403);
    }
  });

  test("the operator's routes take no key, and no key hands out more than it has", async () => {
    for (const { method, path } of ROUTES.filter(({ access }) => "operator" in access)) {
      expect((await send(method, path, await tokenFor(club))).status).toBe(401);
    }
    const admin = await keyOf(club, { scopes: ["admin"] });
    expect((await admin.post("/v1/api-keys", { name: "x", scopes: ["read"] })).status).toBe(422);
  });
});

risk("API6:2023", () => {
  test("an address is mailed once to be confirmed, and reminded of nothing before that", async () => {
    const toni = { name: "Toni", email: "toni@example.org", role: "manager" };
    const memberId = (await made(club, "/v1/members", toni)).id;
    const manager = await keyOf(club, { memberId });
    const stranger = { name: "Kim", email: "kim@example.org", role: "rider" };
    const { id } = await made(manager, "/v1/members", stranger);
    const machine = { name: "Kim's", kind: "moped", meterUnit: "km", responsibleMemberId: id };
    const vehicle = await made(manager, "/v1/vehicles", { ...machine, inServiceOn: "2026-01-01" });
    const due = { title: "Oil", every: { months: 3 }, lastWork: "never" };
    await made(manager, `/v1/vehicles/${vehicle.id}/tasks`, due);
    await club.moveTo("2026-07-01T08:00:00Z");
    const { items } = (await club.get(`/v1/messages?memberId=${id}&limit=200`)).body;
    const sent = items.filter(({ status }: Json) => status === "sent");
    expect(sent.map(({ kind }: Json) => kind)).toEqual(["confirmAddress"]);
  });

  test("a link changes nothing when it is opened, and its form counts once", async () => {
    const [message] = (await club.get(`/v1/messages?memberId=${riderId}&kind=reminder`)).body.items;
    const { text } = (await club.get(`/v1/messages/${message.id}`)).body;
    const { pathname } = new URL(/http\S+\/links\/\S+/.exec(text)?.[0] ?? "");
    const before = (await club.get("/v1/events?limit=200")).body.items.length;
    const page = await (await send("GET", pathname, null)).text();
    await send("GET", pathname, null);
    expect((await club.get("/v1/events?limit=200")).body.items).toHaveLength(before);
    const nonce = /name="nonce" value="([^"]+)"/.exec(page)?.[1] ?? "";
    const form = () =>
      fetch(service.baseUrl + pathname, {
        method: "POST",
        body: new URLSearchParams({ nonce, value: "620", reading: "620", unit: "km" }),
      });
    const statuses = [(await form()).status, (await form()).status, (await form()).status];
    expect(statuses.filter((status) => status === 200 || status === 201).length).toBeLessThan(2);
    expect((await fetch(service.baseUrl + pathname, { method: "POST" })).status).toBe(404);
  });
});

risk("API7:2023", () => {
  const INSIDE = [
    ...["https://127.0.0.1/", "https://2130706433/", "https://[::1]/", "https://10.0.0.8/"],
    ...["https://192.168.1.1/", "https://169.254.169.254/", "https://[::ffff:127.0.0.1]/"],
    ...["https://[fd00::1]/", "https://0.0.0.0/", "https://100.64.0.1/"],
  ];

  const LOCAL = ["https://localhost/x", "https://hooks.localhost./x"];

  test.each([
    ...INSIDE,
    ...LOCAL,
    "http://hooks.example.org/",
    "file:///etc/passwd",
    "gopher://x.example/",
  ])("a webhook cannot be aimed at %s", async (url) => {
    const answer = await club.post("/v1/webhook-endpoints", { url });
    expect(answer.status).toBe(422);
  });

  test("an address that leads inside is not called, even if it got into the row", async () => {
    let called = 0;
    const server = createServer((_request, response) => {
      called += 1;
      response.end();
    });
    await new Promise<void>((resolve) => server.listen(0, "127.0.0.1", resolve));
    const { port } = server.address() as AddressInfo;
    const sender = webhookSender({ allowPrivate: false, timeoutMs: 1_000 });
    for (const url of [...INSIDE, `https://127.0.0.1:${port}/`, `https://localhost:${port}/`]) {
      expect((await sender.send({ url, headers: {}, body: "{}" })).kind, url).toBe("unreached");
    }
    server.close();
    expect(called).toBe(0);
  });
});

risk("API8:2023", () => {
  test("every answer carries its security headers, failures included", async () => {
    const token = await tokenFor(club);
    const asked = [
      ...["/v1/account", "/v1/nothing", "/v1/vehicles?limit=0", `/v1/vehicles/${NIL}`],
      ...["/docs/security", "/problems", "/livez", "/openapi.json", "/links/x", "/calendars/x.ics"],
    ];
    for (const path of asked) {
      for (const by of [token, null]) {
        const { headers } = await send("GET", path, by);
        expect(headers.get("x-content-type-options"), path).toBe("nosniff");
        expect(headers.get("content-security-policy"), path).toContain("default-src 'none'");
        expect(headers.get("strict-transport-security"), path).toContain("max-age=");
        expect(headers.get("x-frame-options"), path).toBe("DENY");
        expect(headers.get("access-control-allow-origin"), path).toBeNull();
        expect(headers.get("server"), path).toBeNull();
        expect(headers.get("x-powered-by"), path).toBeNull();
      }
    }
  });

  test("methods that no path takes are refused, and problems show nothing of the inside", async () => {
    for (const method of ["PUT", "DELETE", "PROPFIND"]) {
      const answer = await send(method, "/v1/due", null);
      expect([404, 405], method).toContain(answer.status);
      expect(await answer.text()).not.toMatch(/node_modules|\.ts:|\.js:|select |postgres/i);
    }
  });

  test("the service connects as a role that row-level security binds", async () => {
    const connections = connect(service.appUrl, { connections: 1, onBroken: () => {} });
    expect(await roleFault(connections.pool)).toBeNull();
    await connections.close();
  });
});

risk("API9:2023", () => {
  /** Served beside the description: itself, the pages that show it, and what mailed links open. */
  const BESIDE = [/^\/openapi\.json$/, /^\/docs(\/|$)/, /^\/links\/:token$/];

  test("what is served is described, and what is described is served", async () => {
    const { paths } = (await club.get("/openapi.json")).body;
    const described = Object.entries(paths).flatMap(([path, item]) =>
      Object.keys(item as Json).map(
        (method) => `${method.toUpperCase()} ${path.replaceAll(/\{(\w+)\}/g, ":$1")}`,
      ),
    );
    const own = [...served].filter((route) => {
      const [method = "", path = ""] = route.split(" ");
      const beside = BESIDE.some((shape) => shape.test(path)) && !described.includes(route);
      return method !== "HEAD" && !beside;
    });
    expect(own.sort()).toEqual(described.sort());
    expect(own.length).toBeGreaterThan(60);
    expect([...served].some((route) => route.includes("/v0") || route.includes("/v2"))).toBe(false);
  });
});

risk("API10:2023", () => {
  const HOSTILE = `<script>alert(1)</script>\u0007\u001b[31m${"x".repeat(20_000)}`;

  test("a mail server's words are cut short and put on one line", async () => {
    const server = new SMTPServer({
      authOptional: true,
      disabledCommands: ["STARTTLS", "AUTH"],
      onRcptTo: (_address, _session, answer) =>
        answer(Object.assign(new Error(HOSTILE.slice(0, 900)), { responseCode: 550 })),
    });
    await new Promise<void>((resolve) => server.listen(0, "127.0.0.1", resolve));
    const { port } = server.server.address() as AddressInfo;
    const from = { name: "Forewheel", address: "reminders@example.org" };
    const sender = smtpSender({ url: `smtp://127.0.0.1:${port}`, from, timeoutMs: 5_000 });
    const delivery = await sender.send({
      ...{ to: { name: "Robin", address: "robin@example.org" }, messageId: "<1@example.org>" },
      ...{ subject: "Hello", text: "Hello", html: null, headers: {}, attachments: [] },
    });
    await new Promise<void>((resolve) => server.close(() => resolve()));
    expect(delivery.kind).toBe("refused");
    expect(delivery.answer.length).toBeLessThanOrEqual(500);
    expect(delivery.answer).not.toMatch(/\p{Cc}/u);
  });

  test("a receiver's answer is cut short, put on one line, and leads nowhere", async () => {
    let followed = 0;
    const server = createServer(({ url }, response) => {
      if (url === "/inside") followed += 1;
      if (url === "/away") response.writeHead(302, { location: "/inside" });
      response.end(HOSTILE.repeat(10));
    });
    await new Promise<void>((resolve) => server.listen(0, "127.0.0.1", resolve));
    const { port } = server.address() as AddressInfo;
    const sender = webhookSender({ allowPrivate: true, timeoutMs: 5_000 });
    const ask = (path: string) =>
      sender.send({ url: `http://127.0.0.1:${port}${path}`, headers: {}, body: "{}" });
    const answers = [await ask("/"), await ask("/away")];
    server.close();
    expect(followed).toBe(0);
    for (const answer of answers) {
      const text = answer.kind === "answered" ? answer.text : answer.why;
      expect(text.length).toBeLessThanOrEqual(64 * 1024);
      expect(text).not.toMatch(/\p{Cc}/u);
    }
  });
});

describe("the page of risks", () => {
  test("has the ten of them, each with tests that are there", () => {
    expect(SECURITY.map(({ id }) => id)).toEqual(
      Array.from({ length: 10 }, (_, n) => `API${n + 1}:2023`),
    );
    expect([...described]).toEqual(SECURITY.map(({ id }) => id));
    for (const { id, does, must, tests } of SECURITY) {
      expect(does.length > 0 && must.length > 0, id).toBe(true);
      for (const file of tests) expect(existsSync(file), `${id}: ${file}`).toBe(true);
    }
  });

  test("is served, point by point", async () => {
    const page = await (await send("GET", "/docs/security", null)).text();
    for (const { id, title } of SECURITY) expect(page).toContain(`${id} ${title}`);
  });

  test("every changing operation of a stored row asks for the version that it is meant for", () => {
    const changing = ROUTES.filter(({ method }) => method === "PATCH" || method === "DELETE");
    expect(changing.filter((route) => !needsIfMatch(route))).toEqual([]);
  });
});
