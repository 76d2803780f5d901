import { afterAll, beforeAll, describe, expect, it } from "vitest";
import { readIdempotencyKey } from "../../src/http/plugins/idempotency.ts";
import { type LampApp, lampApp } from "./support/lamp-app.ts";

let api: LampApp;
let key: string;
beforeAll(async () => {
  api = await lampApp();
  key = api.keyWith(["read", "write"]);
});
afterAll(() => api.app.close());

const post = (idempotencyKey: string, payload: object | string, as = key) =>
  api.send(as, {
    method: "POST",
    url: "/v1/lamps",
    payload,
    headers: { "idempotency-key": idempotencyKey, "content-type": "application/json" },
  });

describe("a request that is sent again", () => {
  it("does its work once and answers as at first, less what is shown once", async () => {
    const before = api.lamps.made;
    const first = await post("a", { name: "L", watts: 3 });
    const again = await post("a", '{ "watts": 3, "name": "L" }');
    expect(api.lamps.made).toBe(before + 1);
    const { secret, ...shown } = first.json();
    expect(secret).toBe("shown once");
    expect(again.json()).toEqual(shown);
    expect([again.statusCode, again.headers.location, again.headers.etag]).toEqual([
      201,
      first.headers.location,
      '"1"',
    ]);
  });

  it("is the same one whether its key is quoted or bare", async () => {
    const first = await post('"b-1"', { name: "L" });
    expect((await post("b-1", { name: "L" })).json().id).toBe(first.json().id);
  });

  it("is refused with another body or from who sees less, and kept apart from other accounts", async () => {
    await post("c", { name: "L" });
    const other = await post("c", { name: "M" });
    expect([other.statusCode, other.json().type]).toEqual([
      422,
      "https://api.example.org/problems/idempotency-mismatch",
    ]);
    const bound = api.keyWith(["write"], { vehicleIds: ["one"] });
    expect((await post("c", { name: "L" }, bound)).statusCode).toBe(422);
    const stranger = api.keyWith(["write"], { accountId: "other" });
    expect((await post("c", { name: "M" }, stranger)).statusCode).toBe(201);
  });

  it("leaves its key free when it was refused", async () => {
    expect((await post("d", { name: "" })).statusCode).toBe(422);
    expect((await post("d", { name: "L" })).statusCode).toBe(201);
  });

  it("names its header when the key cannot be one", async () => {
    for (const bad of ['""', "a b", "a".repeat(256)]) {
      const answer = await post(bad, { name: "L" });
      expect([answer.statusCode, answer.json().errors[0].header]).toEqual([400, "Idempotency-Key"]);
    }
    expect(readIdempotencyKey("a".repeat(255))).toHaveLength(255);
  });
});
