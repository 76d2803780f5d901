import { afterAll, beforeAll, describe, expect, it } from "vitest";
import { negotiate } from "../../src/http/negotiate.ts";
import { type LampApp, lampApp } from "./support/lamp-app.ts";

let api: LampApp;
let key: string;
beforeAll(async () => {
  api = await lampApp();
  key = api.keyWith(["read", "write"]);
  for (const name of ["a", "b", "a", "a", "b"]) {
    await api.send(key, { method: "POST", url: "/v1/lamps", payload: { name } });
  }
});
afterAll(() => api.app.close());

const get = (url: string, as = key) => api.send(as, { method: "GET", url });

describe("a list", () => {
  it("leads through all its pages by Link, each item once", async () => {
    const seen: string[] = [];
    let url: string | undefined = "/v1/lamps?name=a&limit=2";
    while (url !== undefined) {
      const answer = await get(url);
      seen.push(...answer.json().items.map((item: { id: string }) => item.id));
      url = /^<([^>]+)>; rel="next"$/.exec(String(answer.headers.link))?.[1];
      expect(answer.json().nextCursor === null).toBe(url === undefined);
    }
    expect(seen).toHaveLength(3);
    expect(new Set(seen).size).toBe(3);
  });

  it("takes its cursor with another limit, and with no other filter, account or change", async () => {
    const { nextCursor } = (await get("/v1/lamps?limit=1")).json();
    expect((await get(`/v1/lamps?limit=3&cursor=${nextCursor}`)).json().items).toHaveLength(3);
    const foreign = api.keyWith(["read"], { accountId: "other" });
    const turned = nextCursor.startsWith("A")
      ? `B${nextCursor.slice(1)}`
      : `A${nextCursor.slice(1)}`;
    for (const answer of [
      await get(`/v1/lamps?name=a&cursor=${nextCursor}`),
      await get(`/v1/lamps?cursor=${nextCursor}`, foreign),
      await get(`/v1/lamps?cursor=${turned}`),
    ]) {
      expect([answer.statusCode, answer.json().errors[0].parameter]).toEqual([422, "cursor"]);
    }
  });
});

describe("the form of an answer", () => {
  it("follows Accept", async () => {
    const report = (accept: string) =>
      api.send(null, { method: "GET", url: "/v1/lamp-report", headers: { accept } });
    expect((await report("*/*")).json()).toEqual({ lamps: 5 });
    expect((await report("text/csv")).body).toBe("lamps\r\n5\r\n");
    expect((await report("text/csv")).headers["content-type"]).toMatch(/^text\/csv/);
    const none = await report("image/png");
    expect([none.statusCode, none.json().detail]).toEqual([
      406,
      "This is offered as application/json, text/csv.",
    ]);
  });

  it.each([
    [undefined, "application/json"],
    ["text/html, application/json;q=0.9", "text/html"],
    ["text/*;q=0.5, text/csv;q=0.1, application/json;q=0.2", "text/html"],
    ["application/json;q=0, */*", "text/csv"],
    ["text/csv; q=0.3, */*; q=0.1", "text/csv"],
  ] as const)("by Accept %s is %s", (accept, type) => {
    expect(negotiate(accept, ["application/json", "text/csv", "text/html"])).toBe(type);
  });
});
