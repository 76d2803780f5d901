import { connect } from "node:net";
import pg from "pg";
import { afterAll, beforeAll, describe, expect, test } from "vitest";
import { PROBLEMS, type ProblemKind } from "../../src/http/problems.ts";
import type { Json } from "../support/client.ts";
import { type RunningService, startService } from "../support/service.ts";

interface Told {
  status: number;
  problem: Json;
}

let service: RunningService;
let account: { id: string; key: string; readOnly: string };
let vehicle: string;

const VEHICLE = { name: "Single 150", kind: "motorcycle", meterUnit: "km" };
const NOBODY = "01900000-0000-7000-8000-000000000000";

beforeAll(async () => {
  service = await startService();
  const owner = { name: "Robin", email: "robin@example.org" };
  const made = await send("POST", "/v1/accounts", { name: "Invented riders", owner }, [
    ["authorization", `Bearer ${service.operatorToken}`],
  ]);
  const { key } = made.problem.apiKey;
  account = { id: made.problem.account.id, key, readOnly: "" };
  const reader = await send("POST", "/v1/api-keys", { name: "Reader", scopes: ["read"] });
  account.readOnly = reader.problem.key;
  vehicle = `/v1/vehicles/${(await send("POST", "/v1/vehicles", VEHICLE)).problem.id}`;
});
afterAll(() => service.stop());

/** A request as a caller sends it, with the account's key unless the headers say otherwise. */
async function send(
  method: string,
  path: string,
  body?: unknown,
  headers: [string, string][] = [],
  baseUrl = service.baseUrl,
): Promise<Told> {
  const all = new Headers({ authorization: `Bearer ${account?.key}` });
  if (body !== undefined) all.set("content-type", "application/json");
  for (const [name, value] of headers) all.set(name, value);
  const text = typeof body === "string" ? body : JSON.stringify(body);
  const answer = await fetch(baseUrl + path, {
    method,
    headers: all,
    ...(body !== undefined && { body: text }),
  });
  return { status: answer.status, problem: await answer.json() };
}

/** What is answered to bytes that no client library would send. */
function sendRaw(text: string): Promise<Told> {
  const { hostname, port } = new URL(service.baseUrl);
  return new Promise((resolve, reject) => {
    const socket = connect(Number(port), hostname, () => socket.write(text));
    let answer = "";
    socket.on("data", (chunk) => {
      answer += String(chunk);
    });
    socket.on("error", reject);
    socket.on("end", () => {
      const status = Number(/^HTTP\/1\.1 (\d+)/.exec(answer)?.[1]);
      resolve({ status, problem: JSON.parse(answer.slice(answer.indexOf("\r\n\r\n") + 4)) });
    });
  });
}

const line = (head: string) => `${head}\r\nHost: fw\r\nConnection: close\r\n`;

async function asOwner<T>(work: (client: pg.Client) => Promise<T>, path?: string): Promise<T> {
  const url = new URL(service.ownerUrl);
  if (path !== undefined) url.pathname = path;
  const client = new pg.Client({ connectionString: url.href });
  await client.connect();
  try {
    return await work(client);
  } finally {
    await client.end();
  }
}

/** How each problem is brought about, as a caller may. */
const BROUGHT_ABOUT: { readonly [K in ProblemKind]: () => Promise<Told> } = {
  invalid: () => send("POST", "/v1/vehicles", { ...VEHICLE, wheels: 2 }),
  notFound: () => send("GET", `/v1/vehicles/${NOBODY}`),
  unknownPath: () => send("GET", "/v1/wheels"),
  malformed: () => send("POST", "/v1/vehicles", '{"name": "Single 150",'),
  badHeader: () => send("POST", "/v1/vehicles", VEHICLE, [["idempotency-key", "two words"]]),
  unauthenticated: () => send("GET", "/v1/account", undefined, [["authorization", "Bearer x"]]),
  forbidden: () =>
    send("POST", "/v1/vehicles", VEHICLE, [["authorization", `Bearer ${account.readOnly}`]]),
  methodNotAllowed: () => send("DELETE", "/v1/vehicles"),
  notAcceptable: () =>
    send("GET", `${vehicle}/service-history`, undefined, [["accept", "image/png"]]),
  requestTimeout: () => {
    const head = line("POST /v1/vehicles HTTP/1.1");
    const type = `Authorization: Bearer ${account.key}\r\nContent-Type: application/json`;
    return sendRaw(`${head}${type}\r\nContent-Length: 9\r\n\r\n{`);
  },
  async conflict() {
    await send("POST", "/v1/vehicles", { ...VEHICLE, externalId: "a" });
    return send("POST", "/v1/vehicles", { ...VEHICLE, name: "Twin 650", externalId: "a" });
  },
  idempotencyRunning: () =>
    asOwner(async (client) => {
      // The first request with the key, as the database sees it while it runs.
      await client.query("begin");
      await client.query(
        `insert into idempotency (account_id, scope, key, fingerprint, created_at)
         values ($1, $2, 'slow', 'x', now())`,
        [account.id, `${account.id} POST /v1/vehicles`],
      );
      return send("POST", "/v1/vehicles", VEHICLE, [["idempotency-key", "slow"]]);
    }),
  preconditionFailed: () => send("PATCH", vehicle, { notes: "x" }, [["if-match", '"99"']]),
  bodyTooLarge: () => send("POST", "/v1/vehicles", { ...VEHICLE, notes: "x".repeat(1_100_000) }),
  uriTooLong: () => send("GET", `/v1/vehicles/${"1".repeat(600)}`),
  unsupportedMediaType: () => send("POST", "/v1/vehicles", "a=b", [["content-type", "text/plain"]]),
  unsupportedCoding: () => send("POST", "/v1/vehicles", VEHICLE, [["content-encoding", "gzip"]]),
  expectationFailed: () => sendRaw(`${line("GET /livez HTTP/1.1")}Expect: cake\r\n\r\n`),
  async idempotencyMismatch() {
    await send("POST", "/v1/vehicles", VEHICLE, [["idempotency-key", "used"]]);
    const other = { ...VEHICLE, name: "Twin 650" };
    return send("POST", "/v1/vehicles", other, [["idempotency-key", "used"]]);
  },
  preconditionRequired: () => send("PATCH", vehicle, { notes: "x" }),
  async tooManyRequests() {
    const busy = await startService({ rates: { address: { requests: 1, seconds: 60 } } });
    try {
      await send("GET", "/problems/none", undefined, [], busy.baseUrl);
      return await send("GET", "/problems/none", undefined, [], busy.baseUrl);
    } finally {
      await busy.stop();
    }
  },
  headersTooLarge: () => sendRaw(`${line("GET /livez HTTP/1.1")}X: ${"x".repeat(20_000)}\r\n\r\n`),
  internal: () =>
    asOwner(async (client) => {
      // A fault of ours: the application may not read what it has to.
      await client.query("revoke select on vehicle from forewheel_app");
      const told = await send("GET", "/v1/vehicles");
      await client.query("grant select on vehicle to forewheel_app");
      return told;
    }),
  unavailable: () =>
    asOwner(async (client) => {
      const name = new URL(service.ownerUrl).pathname.slice(1);
      await client.query(`alter database ${name} connection limit 0`);
      await client.query(
        "select pg_terminate_backend(pid) from pg_stat_activity where datname = $1",
        [name],
      );
      const ready = await send("GET", "/readyz");
      const told = await send("GET", "/v1/vehicles");
      expect(ready.status).toBe(told.status);
      await client.query(`alter database ${name} connection limit -1`);
      return told;
    }, "/postgres"),
};

/** Answered by the server itself, so that no operation's description names them. */
const BEFORE_ANY: readonly ProblemKind[] = [
  "unknownPath",
  "methodNotAllowed",
  "expectationFailed",
  "headersTooLarge",
];

const pageOf = async (slug: string) => (await fetch(`${service.baseUrl}/problems/${slug}`)).text();

describe("each type of problem", () => {
  test.each(Object.keys(PROBLEMS) as ProblemKind[])(
    "%s is answered, and its type leads to its page",
    async (kind) => {
      const { slug, status, title } = PROBLEMS[kind];
      const told = await BROUGHT_ABOUT[kind]();
      expect(told.status, JSON.stringify(told.problem)).toBe(status);
      expect(told.problem).toMatchObject({ status, title });
      const { pathname } = new URL(told.problem.type);
      expect(pathname).toBe(`/problems/${slug}`);
      const page = await fetch(service.baseUrl + pathname);
      expect([page.status, page.headers.get("content-type")]).toEqual([
        200,
        "text/html; charset=utf-8",
      ]);
      const text = await page.text();
      for (const part of ["Why it is answered", "What to do", "An example", "Which operations"]) {
        expect(text).toContain(part);
      }
    },
  );

  test("stands in the index, and nothing else does", async () => {
    const index = await (await fetch(`${service.baseUrl}/problems`)).text();
    const linked = [...index.matchAll(/href="\/problems\/([a-z-]+)"/g)].map(([, slug]) => slug);
    const slugs = Object.values(PROBLEMS).map(({ slug }) => slug);
    expect(linked.toSorted()).toEqual(slugs.toSorted());
    expect((await fetch(`${service.baseUrl}/problems/no-such`)).status).toBe(404);
  });

  test("names the operations whose description names it, and none where the server answers before", async () => {
    const document: Json = await (await fetch(`${service.baseUrl}/openapi.json`)).json();
    const byKind = new Map<string, Set<string>>();
    for (const [path, item] of Object.entries<Json>(document.paths)) {
      if (!path.startsWith("/v1/") && !path.startsWith("/calendars/")) continue;
      for (const [method, operation] of Object.entries<Json>(item)) {
        for (const answer of Object.values<Json>(operation.responses)) {
          const name = answer.$ref?.split("/").at(-1);
          const { content } = name ? document.components.responses[name] : answer;
          const examples = content?.["application/problem+json"]?.examples ?? {};
          for (const kind of Object.keys(examples)) {
            const names = byKind.get(kind) ?? new Set();
            byKind.set(kind, names.add(`${method.toUpperCase()} ${path}`));
          }
        }
      }
    }
    for (const [kind, { slug }] of Object.entries(PROBLEMS)) {
      const shown = [...(await pageOf(slug)).matchAll(/<code>([A-Z]+ \/[^<]+)<\/code>/g)];
      expect(shown.map(([, name]) => name).toSorted(), kind).toEqual(
        [...(byKind.get(kind) ?? [])].toSorted(),
      );
      expect(byKind.has(kind), kind).toBe(!BEFORE_ANY.includes(kind as ProblemKind));
    }
  });
});
