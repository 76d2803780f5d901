import { afterAll, beforeAll, describe, expect, it } from "vitest";
import { makeApiKey, parseApiKey, secretMatches } from "../../src/http/api-key.ts";
import { type LampApp, lampApp, OPERATOR_TOKEN } from "./support/lamp-app.ts";

let api: LampApp;
beforeAll(async () => {
  api = await lampApp();
});
afterAll(() => api.app.close());

const list = (key: string | null) => api.send(key, { method: "GET", url: "/v1/lamps" });

describe("an API key", () => {
  it("has a name, a secret that is kept as a hash only, and a checksum", () => {
    const key = makeApiKey();
    expect(key.text).toMatch(/^fw_[0-9A-Za-z]{16}_[0-9A-Za-z]{43}_[0-9A-Za-z]{6}$/);
    const parsed = parseApiKey(key.text);
    expect(parsed?.publicId).toBe(key.publicId);
    expect(secretMatches(parsed?.secret ?? "", key.secretHash)).toBe(true);
    expect(secretMatches("another", key.secretHash)).toBe(false);
  });

  it("fits its shape at both ends of what chance can give", () => {
    for (const fill of [0, 255]) {
      expect(parseApiKey(makeApiKey(new Uint8Array(44).fill(fill)).text)).not.toBeNull();
    }
  });

  it("is known to be mistyped when any character differs", () => {
    const { text } = makeApiKey();
    for (let at = 3; at < text.length; at += 1) {
      const other = text[at] === "a" ? "b" : "a";
      expect(parseApiKey(text.slice(0, at) + other + text.slice(at + 1))).toBeNull();
    }
  });
});

describe("who may call", () => {
  it("needs a key, and is told how to send one", async () => {
    const answer = await list(null);
    expect(answer.statusCode).toBe(401);
    expect(answer.headers["www-authenticate"]).toBe('Bearer realm="forewheel"');
  });

  it.each([
    ["nonsense", () => "nonsense"],
    ["one that was never given out", () => makeApiKey().text],
    ["one that has expired", () => api.keyWith(["read"], { expiresAt: 0 })],
    [
      "one whose secret is another",
      () => {
        const known = api.keyWith(["read"]);
        return api.keyWith(["read"], { keyId: "x", secretHash: new Uint8Array(32) }) || known;
      },
    ],
  ])("is refused with %s", async (_what, key) => {
    const answer = await list(key());
    expect(answer.statusCode).toBe(401);
    expect(answer.headers["www-authenticate"]).toContain('error="invalid_token"');
  });

  it("needs the scope, of which write includes readings:write and nothing else", async () => {
    expect((await list(api.keyWith(["read"]))).statusCode).toBe(200);
    for (const scope of ["readings:write", "write", "admin"] as const) {
      const answer = await list(api.keyWith([scope]));
      expect([answer.statusCode, answer.json().detail]).toEqual([
        403,
        "This needs the scope read.",
      ]);
    }
  });

  it("is the operator with the operator's token alone", async () => {
    const explode = (key: string | null) =>
      api.send(key, { method: "POST", url: "/v1/explosions" });
    expect((await explode(null)).statusCode).toBe(401);
    expect((await explode(api.keyWith(["admin"]))).statusCode).toBe(401);
    expect((await explode(`${OPERATOR_TOKEN}x`)).statusCode).toBe(401);
    expect((await explode(OPERATOR_TOKEN)).statusCode).toBe(500);
  });

  it("is refused before the body is read", async () => {
    const answer = await api.send(null, { method: "POST", url: "/v1/lamps", payload: "{" });
    expect(answer.statusCode).toBe(401);
  });
});

describe("rates", () => {
  it("are told with every answer, and kept", async () => {
    const tight = await lampApp({
      rates: {
        key: { requests: 2, seconds: 10 },
        address: { requests: 100, seconds: 1 },
        refusedKeys: { requests: 2, seconds: 60 },
      },
    });
    const key = tight.keyWith(["read"]);
    const ask = (as: string) => tight.send(as, { method: "GET", url: "/v1/lamps" });
    const first = await ask(key);
    expect(first.headers["ratelimit-policy"]).toBe('"key";q=2;w=10');
    expect(first.headers.ratelimit).toBe('"key";r=1;t=10');
    await ask(key);
    const third = await ask(key);
    expect([third.statusCode, third.headers["retry-after"]]).toEqual([429, "10"]);
    expect(third.json()["violated-policies"]).toEqual(["key"]);
    expect((await ask(tight.keyWith(["read"]))).statusCode).toBe(200);

    expect((await ask(makeApiKey().text)).statusCode).toBe(401);
    expect((await ask(makeApiKey().text)).statusCode).toBe(401);
    expect((await ask(tight.keyWith(["read"]))).statusCode).toBe(429);
    expect((await tight.send(null, { method: "GET", url: "/livez" })).statusCode).toBe(200);
    await tight.app.close();
  });
});
