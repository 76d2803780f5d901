import pg from "pg";
import { afterAll, beforeAll, describe, expect, test } from "vitest";
import { connect } from "../../src/database/client.ts";
import { outboxOn } from "../../src/database/outbox.ts";
import { type Client, clientOf, type Json } from "../support/client.ts";
import { type RunningService, startService } from "../support/service.ts";

const PATH = "/v1/api-keys/short-lived";

describe("a short-lived key", () => {
  let service: RunningService;
  let admin: Client;
  let owner: pg.Client;
  let riderId: string;
  let ridersMachine: string;
  let otherMachine: string;

  beforeAll(async () => {
    service = await startService();
    owner = new pg.Client({ connectionString: service.ownerUrl });
    await owner.connect();
    const made = await clientOf(service.baseUrl, service.operatorToken).post("/v1/accounts", {
      name: "Invented riders",
      owner: { name: "Robin", email: "robin@example.org" },
    });
    admin = clientOf(service.baseUrl, made.body.apiKey.key);
    const rider = { name: "Sascha", email: "sascha@example.org", role: "rider" };
    riderId = (await created("/v1/members", rider)).id;
    const machine = { kind: "motorcycle", meterUnit: "km" };
    ridersMachine = (
      await created("/v1/vehicles", { ...machine, name: "One", responsibleMemberId: riderId })
    ).id;
    otherMachine = (await created("/v1/vehicles", { ...machine, name: "Two" })).id;
  });
  afterAll(async () => {
    await owner.end();
    await service.stop();
  });

  async function created(path: string, body: unknown): Promise<Json> {
    const answer = await admin.post(path, body);
    if (answer.status !== 201) throw new Error(JSON.stringify(answer.body));
    return answer.body;
  }
  const key = (body: object) => created("/v1/api-keys", { name: "parent", ...body });
  const as = (token: string) => clientOf(service.baseUrl, token);
  const minutesFromNow = (at: string) => (Date.parse(at) - Date.now()) / 60_000;

  test("is made by any key, with its scopes or fewer, for an hour unless told otherwise", async () => {
    const parent = await key({ scopes: ["readings:write"] });
    const made = await as(parent.key).post(PATH, { scopes: ["readings:write"] });
    expect(made.status).toBe(201);
    expect(made.body).toMatchObject({ parentId: parent.id, memberId: null, vehicleIds: null });
    expect(minutesFromNow(made.body.expiresAt)).toBeCloseTo(60, 0);
    const child = as(made.body.key);
    expect((await child.post(`/v1/vehicles/${otherMachine}/readings`, { value: 10 })).status).toBe(
      201,
    );
    expect((await child.get("/v1/vehicles")).status).toBe(403);
    const brief = await as(parent.key).post(PATH, { scopes: ["readings:write"], minutes: 5 });
    expect(minutesFromNow(brief.body.expiresAt)).toBeCloseTo(5, 0);
  });

  test("has no scope that its maker lacks, and never admin", async () => {
    const reader = as((await key({ scopes: ["read"] })).key);
    const refused = await reader.post(PATH, { scopes: ["read", "write"] });
    expect([refused.status, refused.body.errors?.[0].pointer]).toEqual([422, "#/scopes/1"]);
    const writer = as((await key({ scopes: ["write"] })).key);
    expect((await writer.post(PATH, { scopes: ["readings:write"] })).status).toBe(201);
    expect((await writer.post(PATH, { scopes: ["read"] })).status).toBe(422);
    expect((await admin.post(PATH, { scopes: ["admin"] })).status).toBe(422);
    for (const minutes of [0, 721, 1.5]) {
      expect((await admin.post(PATH, { scopes: ["read"], minutes })).status).toBe(422);
    }
  });

  test("makes no other key, short-lived or not", async () => {
    const child = (await admin.post(PATH, { scopes: ["read", "write"] })).body;
    const refused = await as(child.key).post(PATH, { scopes: ["read"] });
    expect([refused.status, refused.body.detail]).toEqual([
      403,
      "This needs a key that is not short-lived itself.",
    ]);
    const kept = { name: "kept", scopes: ["read"] };
    expect((await as(child.key).post("/v1/api-keys", kept)).status).toBe(403);
    expect((await admin.post(`/v1/api-keys/${child.id}/rotate`)).status).toBe(409);
  });

  test("never sees more than its maker: the member's machines, the key's vehicles", async () => {
    const rider = as((await key({ scopes: ["read"], memberId: riderId })).key);
    const child = (await rider.post(PATH, { scopes: ["read"] })).body;
    expect(child.memberId).toBe(riderId);
    expect((await as(child.key).get(`/v1/vehicles/${ridersMachine}`)).status).toBe(200);
    expect((await as(child.key).get(`/v1/vehicles/${otherMachine}`)).status).toBe(404);
    const ownerId = (await admin.get("/v1/members")).body.items.find(
      ({ role }: Json) => role === "owner",
    ).id;
    const asOwner = await rider.post(PATH, { scopes: ["read"], memberId: ownerId });
    expect([asOwner.status, asOwner.body.errors?.[0].pointer]).toEqual([422, "#/memberId"]);
    const hidden = await rider.post(PATH, { scopes: ["read"], vehicleIds: [otherMachine] });
    expect([hidden.status, hidden.body.errors?.[0].pointer]).toEqual([422, "#/vehicleIds/0"]);

    const phone = as((await key({ scopes: ["read"], vehicleIds: [ridersMachine] })).key);
    expect((await phone.post(PATH, { scopes: ["read"] })).body.vehicleIds).toEqual([ridersMachine]);
    const wider = { scopes: ["read"], vehicleIds: [ridersMachine, otherMachine] };
    expect((await phone.post(PATH, wider)).body.errors?.[0].pointer).toBe("#/vehicleIds/1");
    const bound = (await admin.post(PATH, { scopes: ["read"], memberId: riderId })).body;
    expect((await as(bound.key).get("/v1/vehicles")).body.items).toHaveLength(1);
    const foreign = { scopes: ["read"], memberId: "01900000-0000-7000-8000-00000000dead" };
    expect((await admin.post(PATH, foreign)).status).toBe(422);
  });

  test("expires no later than its maker, also when that is rotated", async () => {
    const expiresAt = new Date(Date.now() + 10 * 60_000).toISOString();
    const short = await key({ scopes: ["read"], expiresAt });
    const child = (await as(short.key).post(PATH, { scopes: ["read"], minutes: 120 })).body;
    expect(child.expiresAt).toBe(expiresAt);

    const parent = await key({ scopes: ["read"] });
    const [long, brief] = await Promise.all(
      [120, 1].map((minutes) => as(parent.key).post(PATH, { scopes: ["read"], minutes })),
    );
    const rotated = { overlapMinutes: 2 };
    expect((await admin.post(`/v1/api-keys/${parent.id}/rotate`, rotated)).status).toBe(201);
    const ends = async (made: Json) =>
      minutesFromNow((await admin.get(`/v1/api-keys/${made.body.id}`)).body.expiresAt);
    expect(await ends(long)).toBeCloseTo(2, 0);
    expect(await ends(brief)).toBeCloseTo(1, 0);
  });

  test("is revoked with its maker, even while it is being made", async () => {
    const parent = await key({ scopes: ["read"] });
    const kept = (await as(parent.key).post(PATH, { scopes: ["read"] })).body;
    const [revoked, ...made] = await Promise.all([
      admin.remove(`/v1/api-keys/${parent.id}`, '"1"'),
      ...Array.from({ length: 8 }, () => as(parent.key).post(PATH, { scopes: ["read"] })),
    ]);
    expect(revoked.status).toBe(204);
    for (const { status, body } of [{ status: 201, body: kept }, ...made]) {
      expect([201, 401, 403]).toContain(status);
      if (status === 201) expect((await as(body.key).get("/v1/vehicles")).status).toBe(401);
    }
  });

  test("is listed only where it is asked for, and cleared away a day after its end", async () => {
    const made = (await admin.post(PATH, { scopes: ["read"], name: "Board" })).body;
    const ids = async (query: string) =>
      (await admin.get(`/v1/api-keys${query}`)).body.items.map(({ id }: Json) => id);
    expect(await ids("?limit=200")).not.toContain(made.id);
    expect(await ids("?limit=200&shortLived=true")).toContain(made.id);
    expect((await admin.get("/v1/api-keys?shortLived=maybe")).status).toBe(422);

    const all = (await ids("?limit=200")).length;
    const age = (days: number) =>
      owner.query("update api_key set expires_at = now() - $2 * interval '1 day' where id = $1", [
        made.id,
        days,
      ]);
    const connections = connect(service.appUrl, { connections: 2, onBroken: () => {} });
    await age(0.9);
    await outboxOn(connections).forgetExpired();
    expect((await admin.get(`/v1/api-keys/${made.id}`)).status).toBe(200);
    await age(1.1);
    await outboxOn(connections).forgetExpired();
    expect((await admin.get(`/v1/api-keys/${made.id}`)).status).toBe(404);
    expect(await ids("?limit=200")).toHaveLength(all);
    await connections.close();
  });

  test("is shown once: a repeat of the request shows the same key without its text", async () => {
    const headers = { "idempotency-key": "board-1" };
    const first = await admin.post(PATH, { scopes: ["read"] }, headers);
    const again = await admin.post(PATH, { scopes: ["read"] }, headers);
    expect(again.body.id).toBe(first.body.id);
    expect(again.body.key).toBeUndefined();
  });
});
