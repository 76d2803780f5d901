import { afterAll, beforeAll, describe, expect, test } from "vitest";
import { type Json, sandbox } from "../support/client.ts";
import { type RunningService, startService } from "../support/service.ts";

describe("the conventions hold over the whole API", () => {
  let service: RunningService;
  let account: Awaited<ReturnType<typeof sandbox>>;
  let at: string;

  beforeAll(async () => {
    service = await startService();
    account = await sandbox(service, "2026-04-01T08:00:00Z");
    const made = await account.post("/v1/vehicles", {
      name: "One",
      kind: "motorcycle",
      meterUnit: "km",
    });
    at = `/v1/vehicles/${made.body.id}`;
  });
  afterAll(() => service.stop());

  test("the same Idempotency-Key and body answer the same, once done; another body is refused", async () => {
    const key = { "idempotency-key": '"tour-1"' };
    const first = await account.post(
      "/v1/vehicles",
      { name: "Two", kind: "car", meterUnit: "km" },
      key,
    );
    const again = await account.post(
      "/v1/vehicles",
      { name: "Two", kind: "car", meterUnit: "km" },
      key,
    );
    expect(again.status).toBe(201);
    expect(again.body).toEqual(first.body);
    expect(again.headers.get("etag")).toBe(first.headers.get("etag"));
    const otherBody = await account.post(
      "/v1/vehicles",
      { name: "Three", kind: "car", meterUnit: "km" },
      key,
    );
    expect(otherBody.status).toBe(422);
  });

  test("fifty parallel posts with one Idempotency-Key make one row and identical answers", async () => {
    const posts = Array.from({ length: 50 }, () =>
      account.post(
        `${at}/readings`,
        { value: 100, at: "2026-04-01T07:00:00Z" },
        { "idempotency-key": "fifty" },
      ),
    );
    const answers = await Promise.all(posts);
    expect(new Set(answers.map(({ status }) => status))).toEqual(new Set([201]));
    expect(new Set(answers.map(({ body }) => body.id)).size).toBe(1);
    expect((await account.get(`${at}/readings`)).body.items).toHaveLength(1);
  });

  test("a secret is shown once: the replay leaves it out", async () => {
    const key = { "idempotency-key": "secret-once" };
    const first = await account.post("/v1/api-keys", { name: "k", scopes: ["read"] }, key);
    expect(first.body.key).toMatch(/^fw_/);
    const again = await account.post("/v1/api-keys", { name: "k", scopes: ["read"] }, key);
    expect(again.body.id).toBe(first.body.id);
    expect(JSON.stringify(again.body)).not.toContain(first.body.key);
  });

  test("the same externalId with the same content answers what is there, other content 409", async () => {
    const body = { value: 140, at: "2026-04-01T07:30:00Z", externalId: "phone-1" };
    const first = await account.post(`${at}/readings`, body);
    expect(first.status).toBe(201);
    const again = await account.post(`${at}/readings`, body);
    expect(again.status).toBe(200);
    expect(again.body.id).toBe(first.body.id);
    expect((await account.post(`${at}/readings`, { ...body, value: 141 })).status).toBe(409);
  });

  test("a change needs If-Match: none 428, a stale one 412; a known ETag answers 304", async () => {
    const member = await account.post("/v1/members", { name: "Kim", email: "kim@example.org" });
    const path = `/v1/members/${member.body.id}`;
    const etag = String(member.headers.get("etag"));
    const bare = await fetch(service.baseUrl + path, { method: "DELETE", headers: await bearer() });
    expect(bare.status).toBe(428);
    expect((await account.patch(path, { name: "Kim B." }, '"77"')).status).toBe(412);
    const changed = await account.patch(path, { name: "Kim B." }, etag);
    expect(changed.status).toBe(200);
    expect(changed.body.email).toBe("kim@example.org");
    const known = await account.get(path, { "if-none-match": String(changed.headers.get("etag")) });
    expect(known.status).toBe(304);
  });

  test("a list is walked to its end by cursors, each item once, with Link headers", async () => {
    for (let n = 0; n < 5; n += 1) {
      await account.post("/v1/members", { name: `M${n}`, email: `m${n}@example.org` });
    }
    const seen: string[] = [];
    let path: string | null = "/v1/members?limit=2";
    while (path !== null) {
      const page = await account.get(path);
      seen.push(...page.body.items.map(({ id }: Json) => id));
      const next: string | undefined = /<([^>]+)>; rel="next"/.exec(
        page.headers.get("link") ?? "",
      )?.[1];
      expect(next === undefined).toBe(page.body.nextCursor === null);
      path = next ?? null;
    }
    expect(new Set(seen).size).toBe(seen.length);
    expect(seen.length).toBeGreaterThanOrEqual(6);
  });

  test("a cursor of another list or a changed one is refused", async () => {
    const { nextCursor } = (await account.get("/v1/members?limit=1")).body;
    expect((await account.get(`/v1/vehicles?cursor=${nextCursor}`)).status).toBe(422);
    expect((await account.get(`/v1/members?cursor=${nextCursor.slice(0, -2)}AA`)).status).toBe(422);
  });

  test.each([
    ["a negative value", { value: -1 }, "#/value"],
    ["a text for a number", { value: "5210" }, "#/value"],
    ["a field that is not known here", { value: 1, mileage: 2 }, "#/mileage"],
    ["a date that does not exist", { value: 1, at: "2026-02-30T08:00:00Z" }, "#/at"],
    ["an instant in the future", { value: 1, at: "2030-01-01T00:00:00Z" }, "#/at"],
    ["a unit of another meter", { value: 1, unit: "h" }, "#/unit"],
    ["the year 0", { value: 1, at: "0000-01-01T00:00:00Z" }, "#/at"],
    ["a NUL character", { value: 1, note: "a\u0000b" }, "#/note"],
  ])("bad input names its field: %s", async (_what, body, pointer) => {
    const answer = await account.post(`${at}/readings`, body);
    expect(answer.status).toBe(422);
    expect(answer.headers.get("content-type")).toContain("application/problem+json");
    expect(answer.body.errors.map((error: Json) => error.pointer)).toContain(pointer);
    for (const { detail } of answer.body.errors) expect(detail.length).toBeGreaterThan(8);
  });

  test.each([
    ["broken JSON", "{", "application/json", 400],
    ["another media type", "value=1", "application/x-www-form-urlencoded", 415],
    ["a prototype in disguise", '{"__proto__": {"a": 1}, "value": 1}', "application/json", 422],
    ["a number beyond all numbers", '{"value": 1e400}', "application/json", 422],
    ["a body beyond 1 MiB", `{"note": "${"x".repeat(1_100_000)}"}`, "application/json", 413],
  ])("%s is refused and changes nothing", async (_what, body, type, status) => {
    const before = (await account.get(`${at}/readings`)).body.items.length;
    const answer = await fetch(`${service.baseUrl}${at}/readings`, {
      method: "POST",
      headers: { ...(await bearer()), "content-type": type },
      body,
    });
    expect(answer.status).toBe(status);
    expect(answer.headers.get("content-type")).toContain("application/problem+json");
    expect((await account.get(`${at}/readings`)).body.items.length).toBe(before);
  });

  test("a wrong path, a wrong method and a wrong id are told apart from each other", async () => {
    expect((await account.get("/v1/nonsense")).status).toBe(404);
    const method = await fetch(`${service.baseUrl}/v1/vehicles`, {
      method: "PUT",
      headers: await bearer(),
    });
    expect(method.status).toBe(405);
    expect(method.headers.get("allow")).toContain("GET");
    expect((await account.get("/v1/vehicles/17")).status).toBe(404);
  });

  test("every answer carries its request id and the rate limit", async () => {
    const answer = await account.get("/v1/vehicles", { "x-request-id": "my-own-id-17" });
    expect(answer.headers.get("x-request-id")).toBe("my-own-id-17");
    expect(answer.headers.get("ratelimit-policy")).toContain("q=");
    expect(answer.headers.get("ratelimit")).toContain("r=");
  });

  test("the description, its pages and the operation's ends are open", async () => {
    for (const path of [
      "/openapi.json",
      "/livez",
      "/readyz",
      "/metrics",
      "/problems/invalid",
      "/docs/",
    ]) {
      expect((await fetch(service.baseUrl + path)).status, path).toBe(200);
    }
  });

  async function bearer(): Promise<Record<string, string>> {
    const { body } = await account.post("/v1/api-keys", {
      name: "bearer",
      scopes: ["read", "readings:write", "write", "admin"],
    });
    return { authorization: `Bearer ${body.key}` };
  }
});
