import { afterAll, beforeAll, describe, expect, test } from "vitest";
import { type Client, type Json, sandbox } from "../support/client.ts";
import { type RunningService, startService } from "../support/service.ts";
import { until } from "../support/until.ts";

let service: RunningService;
let account: Awaited<ReturnType<typeof sandbox>>;
beforeAll(async () => {
  service = await startService();
  account = await sandbox(service, "2026-04-01T08:00:00Z");
});
afterAll(() => service.stop());

const MOPED = { name: "Step 50", kind: "moped", meterUnit: "km" };
const SCHEDULE = {
  name: "Step 50",
  tasks: [{ title: "Oil", every: { distance: { km: 3000 } }, points: [] }],
};

const vehicle = async (fields: object = {}) =>
  (await account.post("/v1/vehicles", { ...MOPED, ...fields })).body.id as string;

describe("a caller's own id", () => {
  test.each([
    ["/v1/vehicles", MOPED, { name: "Another" }],
    ["/v1/members", { name: "Eve", email: "eve@example.org" }, { name: "Adam" }],
    ["/v1/schedules", SCHEDULE, { tasks: [{ title: "Oil", every: { months: 6 } }] }],
  ])("of %s finds the same content again, and refuses other content", async (path, body, other) => {
    const first = await account.post(path, { ...body, externalId: "a" });
    const again = await account.post(path, { ...body, externalId: "a" });
    expect([first.status, again.status]).toEqual([201, 200]);
    expect(again.body).toEqual(first.body);
    expect(again.headers.get("location")).toBe(first.headers.get("location"));
    const refused = await account.post(path, { ...body, ...other, externalId: "a" });
    expect(refused.status).toBe(409);
    expect((await account.get(`${path}?externalId=a`)).body.items).toEqual([first.body]);
  });

  test.each([
    ["/v1/vehicles", MOPED],
    ["/v1/members", { name: "Kim", email: "kim@example.org" }],
    ["/v1/schedules", SCHEDULE],
  ])("of %s cannot be changed to one that another has", async (path, body) => {
    await account.post(path, { ...body, externalId: "taken" });
    const made = await account.post(path, { ...body, externalId: "free" });
    const own = made.headers.get("location") ?? "";
    const etag = made.headers.get("etag") ?? "";
    const refused = await account.patch(own, { externalId: "taken" }, etag);
    expect([refused.status, refused.body.detail]).toEqual([409, expect.stringContaining("taken")]);
    const same = await account.patch(own, { externalId: "free" }, etag);
    expect(same.status).toBe(200);
  });

  test("of work stands for one record of the whole account", async () => {
    const [one, two] = [await vehicle(), await vehicle()];
    const work = (id: string, externalId: string) =>
      account.post(`/v1/vehicles/${id}/work-records`, {
        doneAt: "2026-03-01",
        by: { name: "Robin" },
        externalId,
      });
    expect((await work(one, "job")).status).toBe(201);
    expect((await work(one, "job")).status).toBe(200);
    expect((await work(two, "job")).status).toBe(409);
    const second = await work(two, "job 2");
    const amended = await account.post(`/v1/vehicles/${two}/work-records/${second.body.id}/amend`, {
      reason: "Slip",
      externalId: "job",
    });
    expect(amended.status).toBe(409);
  });
});

describe("a batch of readings under an Idempotency-Key", () => {
  const key = { "idempotency-key": "day-1" };
  let readings: Json[];
  beforeAll(async () => {
    const vehicleId = await vehicle();
    readings = [
      { vehicleId, value: 100, at: "2026-03-01T08:00:00Z" },
      { vehicleId: "00000000-0000-7000-8000-000000000000", value: 1 },
      { vehicleId, value: 120, at: "2026-03-02T08:00:00Z" },
    ];
  });

  test("answers the same again and records nothing twice", async () => {
    const first = await account.post("/v1/readings/batch", { readings }, key);
    expect(first.body.results.map(({ status }: Json) => status)).toEqual([201, 404, 201]);
    const again = await account.post("/v1/readings/batch", { readings }, key);
    const told = ({ body }: typeof first) => body.results.map(({ reading }: Json) => reading);
    expect(told(again)).toEqual(told(first));
    expect(again.body.results.map(({ status }: Json) => status)).toEqual([201, 404, 201]);
    const { vehicleId } = readings[0];
    const kept = await account.get(`/v1/vehicles/${vehicleId}/readings`);
    expect(kept.body.items).toHaveLength(2);
  });

  test("tells of each that is refused by a problem, as it would be told alone", async () => {
    const { results } = (await account.post("/v1/readings/batch", { readings }, key)).body;
    const alone = await account.post(`/v1/vehicles/${readings[1].vehicleId}/readings`, {
      value: 1,
    });
    expect({ ...results[1].problem, instance: "" }).toEqual({ ...alone.body, instance: "" });
  });

  test("is refused as a whole under the key of another", async () => {
    const other = { readings: [readings[2], readings[0]] };
    const refused = await account.post("/v1/readings/batch", other, key);
    expect([refused.status, refused.body.type]).toEqual([
      422,
      expect.stringMatching(/idempotency-mismatch$/),
    ]);
  });
});

test("a follower may begin at the end of the log, and misses nothing from there on", async () => {
  await shown(account, await vehicle());
  const end = (await account.get("/v1/events?start=end")).body;
  expect(end).toMatchObject({ items: [], more: false });
  const id = await vehicle();
  await shown(account, id);
  const next = (await account.get(`/v1/events?cursor=${end.nextCursor}`)).body;
  expect(next.items.map(({ resourceId }: Json) => resourceId)).toEqual([id]);
  const whole = (await account.get("/v1/events?limit=200")).body;
  expect(whole.items.at(-1)).toEqual(next.items.at(-1));
  expect(whole.items.length).toBeGreaterThan(3);
});

test("a log that is empty has a cursor to follow from too", async () => {
  const empty = await sandbox(service, "2026-04-01T08:00:00Z");
  const none = (await empty.get("/v1/events?start=end")).body;
  expect(none).toMatchObject({ items: [], more: false });
  expect((await empty.get("/v1/events")).body).toEqual({ ...none, nextCursor: expect.any(String) });
  const { id } = (await empty.post("/v1/members", { name: "Toni", email: "toni@example.org" }))
    .body;
  await shown(empty, id);
  const first = (await empty.get(`/v1/events?cursor=${none.nextCursor}`)).body;
  expect(first.items.map(({ type }: Json) => type)).toEqual(["member.added"]);
});

/** An event shows as soon as every older change in the database is settled. */
function shown(of: Client, resourceId: string): Promise<void> {
  return until(async () => {
    const { items } = (await of.get("/v1/events?limit=200")).body;
    return items.some((one: Json) => one.resourceId === resourceId);
  });
}

test("a type of event that there is not is refused, not waited for", async () => {
  const { status, body } = await account.get("/v1/events?type=vehicle.added");
  expect(status).toBe(422);
  expect(body.detail).toMatch(/^type: must be one of .*vehicle\.changed/);
});
