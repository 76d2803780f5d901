import { afterAll, beforeAll, describe, expect, test } from "vitest";
import { makeApiKey } from "../../src/http/api-key.ts";
import { clientOf } from "../support/client.ts";
import { type RunningService, startService } from "../support/service.ts";
import { until } from "../support/until.ts";

const OURS = "https://dash.example.org";
const THEIRS = "https://board.example.net:8443";
const NOBODYS = "https://other.example.com";

interface Owner {
  key: string;
  accountId: string;
}

describe("pages on an account's own origins", () => {
  let service: RunningService;
  let ours: Owner;
  let theirs: Owner;

  beforeAll(async () => {
    service = await startService();
    ours = await newAccount([OURS, "http://localhost:5173"]);
    theirs = await newAccount([THEIRS]);
  });
  afterAll(() => service.stop());

  async function newAccount(origins: string[]): Promise<Owner> {
    const operator = clientOf(service.baseUrl, service.operatorToken);
    const { body } = await operator.post("/v1/accounts", {
      name: "Invented riders",
      owner: { name: "Robin", email: "robin@example.org" },
    });
    const { key } = body.apiKey;
    expect((await allow(key, origins)).status).toBe(200);
    return { key, accountId: body.account.id };
  }

  async function allow(key: string, allowedOrigins: unknown) {
    const client = clientOf(service.baseUrl, key);
    const { headers } = await client.get("/v1/account");
    return client.patch("/v1/account", { allowedOrigins }, String(headers.get("etag")));
  }

  const fromPage = (
    origin: string,
    path: string,
    { method = "GET", key, ...headers }: Record<string, string> = {},
  ) =>
    fetch(service.baseUrl + path, {
      method,
      headers: { origin, ...(key && { authorization: `Bearer ${key}` }), ...headers },
    });
  const preflight = (origin: string) =>
    fromPage(origin, "/v1/account", {
      method: "OPTIONS",
      "access-control-request-method": "PATCH",
      "access-control-request-headers": "authorization, if-match",
    });
  const readable = ({ headers }: Response) => headers.get("access-control-allow-origin");

  test("are kept with the account, in order", async () => {
    const { body } = await clientOf(service.baseUrl, ours.key).get("/v1/account");
    expect(body.allowedOrigins).toEqual(["http://localhost:5173", OURS]);
  });

  test.each([
    ["*", "with a *"],
    ["http://dash.example.org", "https://"],
    ["https://dash.example.org/", "no path"],
    ["https://dash.example.org/app", "no path"],
    ["https://Dash.example.org", "https://"],
    ["https://dash.example.org:443", "https://"],
    ["https://robin@dash.example.org", "https://"],
    ["dash.example.org", "https://"],
    ["null", "https://"],
    ["ftp://dash.example.org", "https://"],
    ["https://*.example.org", "with a *"],
  ])("do not include %s", async (origin, said) => {
    const answer = await allow(ours.key, [OURS, origin]);
    expect(answer.status).toBe(422);
    expect(answer.body.errors).toHaveLength(1);
    expect(answer.body.errors[0].pointer).toBe("#/allowedOrigins/1");
    expect(answer.body.errors[0].detail).toContain(said);
  });

  test("are at most twenty, each once", async () => {
    const many = Array.from({ length: 21 }, (_, n) => `https://dash${n}.example.org`);
    expect((await allow(ours.key, many)).status).toBe(422);
    expect((await allow(ours.key, [OURS, OURS])).status).toBe(422);
  });

  test("are asked for before a key is shown: yes where any account lists the origin", async () => {
    for (const origin of [OURS, THEIRS]) {
      const answer = await preflight(origin);
      expect([answer.status, readable(answer)]).toEqual([204, origin]);
      expect(answer.headers.get("access-control-allow-headers")).toContain("Authorization");
      expect(answer.headers.get("access-control-allow-methods")).toContain("PATCH");
      expect(answer.headers.get("vary")).toBe("Origin");
      expect(answer.headers.get("access-control-allow-credentials")).toBeNull();
    }
    const answer = await preflight(NOBODYS);
    expect([answer.status, readable(answer)]).toEqual([204, null]);
    expect(readable(await preflight("null"))).toBeNull();
  });

  test("read what their own account's keys are answered, and no other account's", async () => {
    const own = await fromPage(OURS, "/v1/account", { key: ours.key });
    expect([own.status, readable(own)]).toEqual([200, OURS]);
    expect(own.headers.get("access-control-expose-headers")).toContain("ETag");
    const foreign = await fromPage(OURS, "/v1/account", { key: theirs.key });
    expect([foreign.status, readable(foreign)]).toEqual([200, null]);
    expect(foreign.headers.get("cross-origin-resource-policy")).toBeNull();
    expect(foreign.headers.get("vary")).toBe("Origin");
    const nobodys = await fromPage(NOBODYS, "/v1/account", { key: ours.key });
    expect(readable(nobodys)).toBeNull();
  });

  test("read why their request was refused", async () => {
    const problems: [number, Promise<Response>][] = [
      [401, fromPage(OURS, "/v1/account", { key: makeApiKey().text })],
      [401, fromPage(OURS, "/v1/account")],
      [404, fromPage(OURS, "/v1/vehicles/01900000-0000-7000-8000-00000000dead", { key: ours.key })],
      [422, fromPage(OURS, "/v1/vehicles?limit=0", { key: ours.key })],
      [405, fromPage(OURS, "/v1/due", { key: ours.key, method: "DELETE" })],
    ];
    for (const [status, asked] of problems) {
      const answer = await asked;
      expect([answer.status, readable(answer)]).toEqual([status, OURS]);
    }
    expect(readable(await fromPage(NOBODYS, "/v1/account"))).toBeNull();
    const foreign = await fromPage(OURS, "/v1/vehicles?limit=0", { key: theirs.key });
    expect([foreign.status, readable(foreign)]).toEqual([422, null]);
  });

  test("read what is open to anybody, and never what the operator is answered", async () => {
    expect(readable(await fromPage(OURS, "/openapi.json"))).toBe(OURS);
    expect(readable(await fromPage(OURS, "/problems"))).toBe(OURS);
    expect(readable(await fromPage(NOBODYS, "/problems"))).toBeNull();
    const operator = await fromPage(OURS, "/v1/accounts", {
      ...{ method: "POST", key: service.operatorToken, "content-type": "application/json" },
    });
    expect([operator.status, readable(operator)]).toEqual([422, null]);
  });

  test("lose their right within seconds of being taken off the list", async () => {
    const third = await newAccount(["https://gone.example.org"]);
    expect(readable(await preflight("https://gone.example.org"))).toBe("https://gone.example.org");
    expect((await allow(third.key, [])).status).toBe(200);
    const at = () => fromPage("https://gone.example.org", "/v1/account", { key: third.key });
    expect(readable(await at())).toBeNull();
    await until(async () => readable(await preflight("https://gone.example.org")) === null);
  });
});
