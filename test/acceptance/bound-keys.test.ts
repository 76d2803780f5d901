import { afterAll, beforeAll, describe, expect, test } from "vitest";
import { clientOf, type Json, sandbox } from "../support/client.ts";
import { type RunningService, startService } from "../support/service.ts";

describe("a key that is bound to a vehicle, and the mail", () => {
  let service: RunningService;
  let rider: Awaited<ReturnType<typeof sandbox>>;
  beforeAll(async () => {
    service = await startService();
    rider = await sandbox(service, "2026-04-01T08:00:00Z");
  });
  afterAll(() => service.stop());

  const made = async (path: string, body: Json): Promise<Json> => {
    const answer = await rider.post(path, body);
    if (answer.status !== 201) throw new Error(JSON.stringify(answer.body));
    return answer.body;
  };
  const machineDueOn = async (name: string, ...days: string[]): Promise<string> => {
    const { id } = await made("/v1/vehicles", { name, kind: "other", meterUnit: "km" });
    for (const on of days) {
      await made(`/v1/vehicles/${id}/tasks`, { title: "Inspection", kind: "fixedDate", on });
    }
    return id;
  };

  test("reads what speaks of its vehicle alone, and not what speaks of another one too", async () => {
    // Both speak on one day and so in one email; the first speaks once more by itself.
    const own = await machineDueOn("Own", "2026-05-10", "2026-08-10");
    const other = await machineDueOn("Other", "2026-05-10");
    await rider.moveTo("2026-09-01T08:00:00Z");
    const { key } = await made("/v1/api-keys", {
      name: "phone",
      scopes: ["read"],
      vehicleIds: [own],
    });
    const phone = clientOf(service.baseUrl, key);

    const reminders = (await rider.get("/v1/reminders?limit=200")).body.items;
    const vehicleOf = new Map(reminders.map(({ id, vehicleId }: Json) => [id, vehicleId]));
    const all: Json[] = (await rider.get("/v1/messages?limit=200")).body.items;
    const about = (message: Json) =>
      new Set(message.reminders.map((id: string) => vehicleOf.get(id)));
    const shared = all.filter((message) => about(message).has(own) && about(message).has(other));
    const alone = all.filter((message) => about(message).has(own) && about(message).size === 1);
    expect(shared.length).toBeGreaterThan(0);
    expect(alone.length).toBeGreaterThan(0);

    const shown: Json[] = (await phone.get("/v1/messages?limit=200")).body.items;
    expect(shown.map(({ id }) => id)).toEqual(alone.map(({ id }) => id));
    expect((await phone.get(`/v1/messages/${alone[0].id}`)).status).toBe(200);
    expect((await phone.get(`/v1/messages/${shared[0].id}`)).status).toBe(404);
    const asked = (await rider.get(`/v1/messages?limit=200&vehicleId=${own}`)).body.items;
    expect(asked).toHaveLength(shared.length + alone.length);
    expect((await phone.get(`/v1/messages?vehicleId=${other}`)).body.items).toEqual([]);
  });

  test("follows the log of its vehicle alone, and goes on from where it stopped", async () => {
    const own = await machineDueOn("Followed", "2027-05-10");
    await machineDueOn("Not followed", "2027-05-10");
    const { key } = await made("/v1/api-keys", {
      name: "display",
      scopes: ["read"],
      vehicleIds: [own],
    });
    const display = clientOf(service.baseUrl, key);
    const first = (await display.get("/v1/events?limit=1")).body;
    expect(first).toMatchObject({ more: true, items: [{ vehicleId: own }] });
    const rest = (await display.get(`/v1/events?cursor=${first.nextCursor}`)).body;
    expect(new Set(rest.items.map(({ vehicleId }: Json) => vehicleId))).toEqual(new Set([own]));
    expect(rest.more).toBe(false);
    const none = (await display.get(`/v1/events?cursor=${rest.nextCursor}`)).body;
    expect(none).toEqual({ items: [], nextCursor: rest.nextCursor, more: false });
    await made(`/v1/vehicles/${own}/readings`, { value: 10 });
    const news = (await display.get(`/v1/events?cursor=${none.nextCursor}`)).body;
    expect(news.items.map(({ type }: Json) => type)).toContain("reading.recorded");
  });
});
