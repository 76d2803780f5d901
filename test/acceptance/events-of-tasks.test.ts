import { afterAll, beforeAll, describe, expect, test } from "vitest";
import { type Json, sandbox } from "../support/client.ts";
import { type RunningService, startService } from "../support/service.ts";

describe("events of tasks", () => {
  let service: RunningService;
  beforeAll(async () => {
    service = await startService();
  });
  afterAll(() => service.stop());

  async function machine() {
    const rider = await sandbox(service, "2026-01-01T08:00:00Z");
    const made = await rider.post("/v1/vehicles", {
      name: "Single 150",
      kind: "motorcycle",
      meterUnit: "km",
      inServiceOn: "2024-01-01",
    });
    return { rider, at: `/v1/vehicles/${made.body.id}` };
  }

  async function told(rider: Awaited<ReturnType<typeof machine>>["rider"]) {
    const { body } = await rider.get("/v1/events?limit=200");
    return body.items.filter(({ type }: Json) => /^task\.|^forecast\./.test(type));
  }

  test("each stage is told once, when it is reached, in its order", async () => {
    const { rider, at } = await machine();
    const task = await rider.post(`${at}/tasks`, {
      title: "Brake fluid",
      every: { months: 24 },
      late: { months: 1 },
      lastWork: { on: "2024-06-01" },
    });
    await rider.moveTo("2026-09-01T08:00:00Z");
    const events = await told(rider);
    expect(events.map(({ type, at }: Json) => [type, at])).toEqual([
      ["task.ahead", "2026-05-10T22:00:00.000Z"],
      ["task.due", "2026-05-31T22:00:00.000Z"],
      ["task.overdue", "2026-07-01T22:00:00.000Z"],
    ]);
    expect(events[0]).toMatchObject({
      resourceId: task.body.id,
      data: {
        taskId: task.body.id,
        title: "Brake fluid",
        occurrence: "work:2024-06-01",
        due: { date: "2026-06-01" },
        likely: { from: "2026-06-01", most: "2026-06-01", to: "2026-06-01" },
        by: "calendar",
      },
    });
  });

  test("they are told although nobody gets a mail", async () => {
    const { rider, at } = await machine();
    await rider.post(`${at}/tasks`, {
      title: "Brake fluid",
      every: { months: 24 },
      lastWork: { on: "2024-06-01" },
    });
    const member = await rider.post("/v1/members", {
      name: "Kim",
      email: "kim@example.org",
      role: "rider",
      timeZone: "UTC",
    });
    const vehicle = await rider.get(at);
    const etag = vehicle.headers.get("etag") ?? "";
    await rider.patch(at, { responsibleMemberId: member.body.id }, etag);
    await rider.moveTo("2026-05-12T12:00:00Z");
    const mails = (await rider.get("/v1/messages")).body.items;
    const page = await rider.get(`/v1/messages/${mails[0].id}`);
    const link = /<([^>]+)>/.exec(page.body.headers["List-Unsubscribe"] ?? "")?.[1] ?? "";
    await fetch(link.replace("http://127.0.0.1/", `${service.baseUrl}/`), {
      method: "POST",
      headers: { "content-type": "application/x-www-form-urlencoded" },
      body: "List-Unsubscribe=One-Click",
    });
    await rider.moveTo("2026-06-10T08:00:00Z");
    expect((await told(rider)).map(({ type }: Json) => type)).toEqual(["task.ahead", "task.due"]);
    expect((await rider.get("/v1/messages")).body.items).toHaveLength(mails.length);
  });

  test("a forecast that moved by more than a tenth of the time left is told, with what it was", async () => {
    const { rider, at } = await machine();
    await rider.post(`${at}/tasks`, {
      title: "Oil change",
      every: { distance: 6000 },
      lastWork: { on: "2025-12-01", reading: 5000 },
    });
    await rider.post(`${at}/readings`, { value: 5210, at: "2026-01-01T07:00:00Z" });
    await rider.moveTo("2026-03-01T08:00:00Z");
    const before = (await told(rider)).length;
    await rider.post(`${at}/readings`, { value: 8200 });
    await rider.moveTo("2026-03-01T08:00:01Z");
    const [changed, ...others] = (await told(rider)).slice(before);
    expect(others.filter(({ type }: Json) => type === "forecast.changed")).toEqual([]);
    expect(changed).toMatchObject({ type: "forecast.changed", data: { title: "Oil change" } });
    expect(changed.data.likely.most < changed.data.before.most).toBe(true);
  });

  test("logged work begins anew: the next due point has its own stages", async () => {
    const { rider, at } = await machine();
    const task = await rider.post(`${at}/tasks`, {
      title: "Brake fluid",
      every: { months: 12 },
      lastWork: { on: "2025-02-01" },
    });
    await rider.moveTo("2026-02-05T08:00:00Z");
    const by = { name: "Toni" };
    const work = { doneAt: "2026-02-05", taskIds: [task.body.id], by };
    await rider.post(`${at}/work-records`, work);
    await rider.moveTo("2027-02-05T08:00:00Z");
    const stages = (await told(rider)).map(({ type, data }: Json) => [type, data.occurrence]);
    expect(stages.map(([type]: Json) => type)).toEqual([
      "task.ahead",
      "task.due",
      "task.ahead",
      "task.due",
    ]);
    expect(new Set(stages.map(([, occurrence]: Json) => occurrence)).size).toBe(2);
  });
});
