import { afterAll, beforeAll, describe, expect, it } from "vitest";
import { type LampApp, lampApp } from "./support/lamp-app.ts";

let api: LampApp;
let key: string;
beforeAll(async () => {
  api = await lampApp();
  key = api.keyWith(["read", "write"]);
});
afterAll(() => api.app.close());

async function newLamp(): Promise<string> {
  const answer = await api.send(key, { method: "POST", url: "/v1/lamps", payload: { name: "L" } });
  return String(answer.headers.location);
}

const change = (url: string, payload: object, headers: Record<string, string>) =>
  api.send(key, { method: "PATCH", url, payload, headers });

describe("a stored thing", () => {
  it("is created with 201, its address and its tag", async () => {
    const answer = await api.send(key, {
      method: "POST",
      url: "/v1/lamps",
      payload: { name: "L" },
    });
    expect(answer.statusCode).toBe(201);
    expect(answer.headers.etag).toBe('"1"');
    expect(answer.headers.location).toBe(`/v1/lamps/${answer.json().id}`);
  });

  it("answers 304 to who has it, and 200 to who has another", async () => {
    const url = await newLamp();
    const known = await api.send(key, {
      method: "GET",
      url,
      headers: { "if-none-match": 'W/"1"' },
    });
    expect([known.statusCode, known.body, known.headers.etag]).toEqual([304, "", '"1"']);
    const other = await api.send(key, { method: "GET", url, headers: { "if-none-match": '"0"' } });
    expect(other.statusCode).toBe(200);
  });

  it("answers 412 to a GET whose If-Match does not hold, before it looks at If-None-Match", async () => {
    const url = await newLamp();
    const headers = { "if-match": '"9"', "if-none-match": '"1"' };
    expect((await api.send(key, { method: "GET", url, headers })).statusCode).toBe(412);
  });

  it("is not changed without If-Match (428), nor with one that is stale, weak or unknown (412)", async () => {
    const url = await newLamp();
    expect((await change(url, { watts: 7 }, {})).statusCode).toBe(428);
    for (const tag of ['"0"', 'W/"1"', "1", '"x"', '"01"']) {
      expect((await change(url, { watts: 7 }, { "if-match": tag })).statusCode).toBe(412);
    }
    expect((await api.send(key, { method: "GET", url })).json().watts).toBe(5);
  });

  it.each(['"1"', '"7", "1"', "*"])("is changed with If-Match %s", async (tag) => {
    const url = await newLamp();
    const answer = await change(url, { watts: 7 }, { "if-match": tag });
    expect([answer.statusCode, answer.headers.etag, answer.json().watts]).toEqual([200, '"2"', 7]);
  });

  it("takes a merge patch under either media type", async () => {
    for (const type of ["application/merge-patch+json", "application/json"]) {
      const url = await newLamp();
      const headers = { "if-match": '"1"', "content-type": type };
      const blue = await change(url, { colour: { red: 1, green: 2 } }, headers);
      expect(blue.json().colour).toEqual({ red: 1, green: 2 });
      const part = await change(url, { colour: { red: 9 } }, { ...headers, "if-match": '"2"' });
      expect(part.json().colour).toEqual({ red: 9, green: 2 });
      const none = await change(url, { colour: null }, { ...headers, "if-match": '"3"' });
      expect(none.json().colour).toBeNull();
    }
  });

  it("is not changed into what its full body would not be", async () => {
    const url = await newLamp();
    const answer = await change(url, { watts: 101, shade: 1 }, { "if-match": '"1"' });
    expect(answer.statusCode).toBe(422);
    const beyond = await change(url, { watts: 101, name: null }, { "if-match": '"1"' });
    expect(beyond.json().errors).toEqual([
      { pointer: "#/name", detail: "is required; must be a text" },
      { pointer: "#/watts", detail: "must be at most 100" },
    ]);
  });

  it("is removed with 204 and is then gone", async () => {
    const url = await newLamp();
    const answer = await api.send(key, { method: "DELETE", url, headers: { "if-match": '"1"' } });
    expect([answer.statusCode, answer.body]).toEqual([204, ""]);
    expect((await api.send(key, { method: "GET", url })).statusCode).toBe(404);
  });

  it("answers HEAD as GET without a body, and OPTIONS with what there is", async () => {
    const url = await newLamp();
    const head = await api.send(key, { method: "HEAD", url });
    expect([head.statusCode, head.headers.etag, head.body]).toEqual([200, '"1"', ""]);
    const options = await api.send(null, { method: "OPTIONS", url });
    expect([options.statusCode, options.headers.allow]).toEqual([
      204,
      "DELETE, GET, HEAD, OPTIONS, PATCH",
    ]);
    expect(options.headers["accept-patch"]).toMatch(/merge-patch/);
  });
});
