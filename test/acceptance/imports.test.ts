import { afterAll, beforeAll, beforeEach, describe, expect, test } from "vitest";
import { clientOf, type Json, sandbox } from "../support/client.ts";
import { type RunningService, startService } from "../support/service.ts";

type Account = Awaited<ReturnType<typeof sandbox>>;

describe("imports", () => {
  let service: RunningService;
  let account: Account;
  let token: string;
  let vehicleId: string;

  beforeAll(async () => {
    service = await startService();
  });
  afterAll(() => service.stop());
  beforeEach(async () => {
    account = await sandbox(service, "2026-05-01T08:00:00Z");
    token = (
      await account.post("/v1/api-keys", {
        name: "all",
        scopes: ["read", "readings:write", "write", "admin"],
      })
    ).body.key;
    const machine = { name: "Four", kind: "motorcycle", meterUnit: "km", externalId: "harbour-04" };
    vehicleId = (await account.post("/v1/vehicles", machine)).body.id;
  });

  async function send(
    query: string,
    body: string | Uint8Array,
    headers: Record<string, string> = {},
    key = token,
  ): Promise<{ status: number; body: Json; headers: Headers }> {
    const answer = await fetch(`${service.baseUrl}/v1/imports?${query}`, {
      method: "POST",
      headers: { authorization: `Bearer ${key}`, "content-type": "text/csv", ...headers },
      body: body as BodyInit,
    });
    return { status: answer.status, body: await answer.json(), headers: answer.headers };
  }

  const readingsOf = async (id = vehicleId) =>
    (await account.get(`/v1/vehicles/${id}/readings?limit=200`)).body.items as Json[];
  const rowsOf = async ({ body }: { body: Json }, more = "") =>
    (await account.get(`/v1/imports/${body.id}/rows${more}`)).body.items as Json[];
  const csv = (...lines: string[]) => `${lines.join("\r\n")}\r\n`;
  const HEAD = "vehicleExternalId,value,at";

  test("readings are all applied, and the answer counts what became of them", async () => {
    const done = await send(
      "kind=readings&externalId=april",
      csv(HEAD, "harbour-04,500,2026-04-01T08:00:00Z", "harbour-04,620,2026-04-08T08:00:00Z"),
    );
    expect(done.status, JSON.stringify(done.body)).toBe(201);
    expect(done.body).toMatchObject({ kind: "readings", status: "applied", externalId: "april" });
    expect(done.body.counts).toEqual({
      ...{ recorded: 2, held: 0, repeated: 0, refused: 0, reported: 0 },
    });
    expect(done.headers.get("location")).toBe(`/v1/imports/${done.body.id}`);
    const readings = await readingsOf();
    expect(readings.map(({ value, source }) => [value, source])).toEqual([
      [620, "import"],
      [500, "import"],
    ]);
    expect((await account.get(`/v1/imports/${done.body.id}`)).body).toEqual(done.body);
  });
});
