import { afterAll, beforeAll, describe, expect, test } from "vitest";
import { type Client, sandbox } from "../support/client.ts";
import { type RunningService, startService } from "../support/service.ts";

const OIL = { title: "Engine oil", every: { distance: { km: 6000, mi: 4000 }, months: 12 } };
const CHAIN = { title: "Drive chain", every: { distance: { km: 1000, mi: 600 } } };
const TYRES = {
  title: "Tyres",
  every: { months: 6 },
  points: [{ name: "Rear, middle", quantity: "depth", unit: "mm", method: "value", lower: 1.6 }],
};

let service: RunningService;
let account: Awaited<ReturnType<typeof sandbox>>;
beforeAll(async () => {
  service = await startService();
});
afterAll(() => service.stop());

const begin = async () => {
  account = await sandbox(service, "2026-04-01T08:00:00Z");
};

async function vehicle(fields: Record<string, unknown> = {}): Promise<string> {
  const body = { name: "Single 150", kind: "motorcycle", meterUnit: "km", ...fields };
  const made = await account.post("/v1/vehicles", body);
  expect(made.status).toBe(201);
  return made.body.id;
}

async function schedule(...tasks: object[]) {
  const made = await account.post("/v1/schedules", { name: "Single 150", tasks });
  expect(made.status).toBe(201);
  return { id: made.body.id as string, body: made.body, etag: String(made.headers.get("etag")) };
}

async function putOn(id: string, vehicleIds: string[], more: object = {}) {
  const put = await account.post(`/v1/schedules/${id}/put-on`, { vehicleIds, ...more });
  expect(put.status).toBe(200);
  return put.body;
}

async function tasksOf(vehicleId: string, client: Client = account) {
  const page = await client.get(`/v1/vehicles/${vehicleId}/tasks?limit=200`);
  return page.body.items;
}

const titles = (tasks: { title: string }[]) => tasks.map(({ title }) => title).sort();

describe("a shared schedule", () => {
  beforeAll(begin);

  test("stands on many machines by one call, and twice is no more than once", async () => {
    const ids = await Promise.all(Array.from({ length: 12 }, () => vehicle()));
    const { id } = await schedule(OIL, CHAIN);
    const first = await putOn(id, ids, { lastWork: "never" });
    expect(first).toEqual({ vehicles: 12, tasksAdded: 24, tasksKept: 0, tasksRemoved: 0 });
    const second = await putOn(id, ids);
    expect(second).toEqual({ vehicles: 12, tasksAdded: 0, tasksKept: 24, tasksRemoved: 0 });
    for (const vehicleId of ids) {
      const tasks = await tasksOf(vehicleId);
      expect(titles(tasks)).toEqual(["Drive chain", "Engine oil"]);
      expect(tasks.map((task: { lastWork: unknown }) => task.lastWork)).toEqual(["never", "never"]);
      expect(tasks.every((task: { scheduleId: string }) => task.scheduleId === id)).toBe(true);
    }
    expect((await account.get(`/v1/vehicles/${ids[0]}`)).body.scheduleId).toBe(id);
  });

  test("speaks to machines of both units by the figure printed for each", async () => {
    const [km, mi] = [await vehicle(), await vehicle({ meterUnit: "mi" })];
    const { id } = await schedule(CHAIN);
    await putOn(id, [km, mi], { lastWork: "never" });
    expect((await tasksOf(km))[0].due.distance).toBe(1000);
    expect((await tasksOf(mi))[0].due.distance).toBe(600);
  });

  test("changes on all its machines at once, keeping tasks, their pause and what was logged", async () => {
    const ids = [await vehicle(), await vehicle()];
    const { id, body, etag } = await schedule(OIL, CHAIN);
    await putOn(id, ids, { lastWork: "never" });
    const before = await tasksOf(ids[0] as string);
    const oil = before.find(({ title }: { title: string }) => title === OIL.title);
    const at = `/v1/vehicles/${ids[0]}/tasks/${oil.id}`;
    const severe = { factor: 0.5, reason: "Dust", limits: ["distance"] };
    const paused = await account.patch(at, { severe, paused: true }, "*");
    expect(paused.status).toBe(200);
    const tasks = [{ ...body.tasks[0], title: "Oil and filter", every: { months: 6 } }, TYRES];
    const changed = await account.patch(`/v1/schedules/${id}`, { tasks }, etag);
    expect(changed.status).toBe(200);
    expect(changed.body.tasks[0].id).toBe(body.tasks[0].id);
    for (const vehicleId of ids) {
      expect(titles(await tasksOf(vehicleId))).toEqual(["Oil and filter", "Tyres"]);
    }
    const kept = (await account.get(at)).body;
    expect(kept).toMatchObject({ title: "Oil and filter", every: { months: 6 }, paused: true });
    expect(kept.severe).toEqual(severe);
  });

  test("takes over a machine's own task of the same title, and its work counts on", async () => {
    const vehicleId = await vehicle();
    const base = `/v1/vehicles/${vehicleId}`;
    const own = await account.post(`${base}/tasks`, { ...OIL, title: "engine oil " });
    const done = { doneAt: "2026-03-01", reading: { value: 500 }, taskIds: [own.body.id] };
    const logged = await account.post(`${base}/work-records`, { ...done, by: { name: "Robin" } });
    expect(logged.status).toBe(201);
    const { id } = await schedule(OIL);
    expect(await putOn(id, [vehicleId])).toMatchObject({ tasksAdded: 0, tasksKept: 1 });
    const [task] = await tasksOf(vehicleId);
    expect(task).toMatchObject({ id: own.body.id, title: "Engine oil", scheduleId: id });
    expect(task.due.distance).toBe(6500);
  });

  test("gives way to another one, and leaves the machine's own tasks alone", async () => {
    const vehicleId = await vehicle();
    await account.post(`/v1/vehicles/${vehicleId}/tasks`, { ...OIL, title: "Fork oil" });
    const [first, second] = [await schedule(OIL, CHAIN), await schedule(OIL, TYRES)];
    await putOn(first.id, [vehicleId]);
    expect(await putOn(second.id, [vehicleId])).toMatchObject({ tasksKept: 1, tasksRemoved: 1 });
    expect(titles(await tasksOf(vehicleId))).toEqual(["Engine oil", "Fork oil", "Tyres"]);
  });

  test("is named by the vehicle too: from its first day, another day, and no more", async () => {
    const [first, second] = [await schedule(OIL), await schedule(CHAIN)];
    const vehicleId = await vehicle({ scheduleId: first.id });
    expect(titles(await tasksOf(vehicleId))).toEqual(["Engine oil"]);
    const at = `/v1/vehicles/${vehicleId}`;
    const other = await account.patch(at, { scheduleId: second.id }, "*");
    expect(other.body.scheduleId).toBe(second.id);
    expect(titles(await tasksOf(vehicleId))).toEqual(["Drive chain"]);
    const none = await account.patch(at, { scheduleId: null }, "*");
    expect(none.body.scheduleId).toBeNull();
    const [kept] = await tasksOf(vehicleId);
    expect(kept).toMatchObject({ title: "Drive chain", scheduleId: null });
    expect((await account.remove(`${at}/tasks/${kept.id}`, "*")).status).toBe(204);
  });
});

describe("what a schedule refuses", () => {
  beforeAll(begin);

  test("a distance without its unit, two tasks of one title, a window without a kind's limits", async () => {
    const bare = await account.post("/v1/schedules", {
      name: "Bare",
      tasks: [{ title: "Engine oil", every: { distance: 6000 } }, OIL, { title: "Nothing" }],
    });
    expect(bare.status).toBe(422);
    const pointers = bare.body.errors.map(({ pointer }: { pointer: string }) => pointer).sort();
    expect(pointers).toEqual([
      "#/tasks/0/every/distance",
      "#/tasks/1/title",
      "#/tasks/2/every",
      "#/tasks/2/every",
    ]);
  });

  test("contradicting limits of a measuring point, told where they stand", async () => {
    const points = [{ name: "Gap", method: "feeler", unit: "mm", lower: 0.2, upper: 0.1 }];
    const made = await account.post("/v1/schedules", {
      name: "Wrong",
      tasks: [OIL, { ...CHAIN, points }],
    });
    expect(made.status).toBe(422);
    expect(made.body.errors[0].pointer).toMatch(/^#\/tasks\/1\/points\/0/);
  });

  test("a change of a shared task on one machine, and its removal there", async () => {
    const { id } = await schedule(OIL);
    const vehicleId = await vehicle({ scheduleId: id });
    const [task] = await tasksOf(vehicleId);
    const at = `/v1/vehicles/${vehicleId}/tasks/${task.id}`;
    const changed = await account.patch(at, { every: { months: 3 } }, "*");
    expect([changed.status, changed.body.detail]).toEqual([409, expect.stringContaining(id)]);
    expect((await account.remove(at, "*")).status).toBe(409);
    const told = { lastWork: { on: "2026-01-10" } };
    expect((await account.patch(at, told, "*")).body.lastWork).toEqual({ on: "2026-01-10" });
  });

  test("its own removal while it stands on a machine", async () => {
    const { id, etag } = await schedule(OIL);
    const vehicleId = await vehicle({ scheduleId: id });
    expect((await account.remove(`/v1/schedules/${id}`, etag)).status).toBe(409);
    await account.patch(`/v1/vehicles/${vehicleId}`, { scheduleId: null }, "*");
    expect((await account.remove(`/v1/schedules/${id}`, etag)).status).toBe(204);
    expect((await account.get(`/v1/schedules/${id}`)).status).toBe(404);
  });

  test("vehicles and schedules of another account", async () => {
    const { id } = await schedule(OIL);
    const own = await vehicle();
    const stranger = await sandbox(service, "2026-04-01T08:00:00Z");
    expect((await stranger.get(`/v1/schedules/${id}`)).status).toBe(404);
    expect((await stranger.post(`/v1/schedules/${id}/put-on`, { vehicleIds: [own] })).status).toBe(
      404,
    );
    const theirs = await stranger.post("/v1/schedules", { name: "Theirs", tasks: [OIL] });
    const at = `/v1/schedules/${theirs.body.id}/put-on`;
    const put = await stranger.post(at, { vehicleIds: [own] });
    expect([put.status, put.body.errors[0].pointer]).toEqual([422, "#/vehicleIds/0"]);
    const named = { name: "Mine", kind: "car", meterUnit: "km", scheduleId: id };
    const made = await stranger.post("/v1/vehicles", named);
    expect([made.status, made.body.errors[0].pointer]).toEqual([422, "#/scheduleId"]);
  });
});

describe("reminders by a shared schedule", () => {
  beforeAll(begin);

  test("are planned without anything else being posted, and go with their line", async () => {
    const { id, etag } = await schedule(TYRES, OIL);
    const ids = [await vehicle(), await vehicle()];
    await putOn(id, ids, { lastWork: { on: "2026-03-01" } });
    await account.moveTo("2026-04-01T08:00:01Z");
    const planned = async () =>
      (await account.get("/v1/reminders?status=planned")).body.items.length;
    const both = await planned();
    expect(both).toBeGreaterThan(0);
    const { body } = await account.get(`/v1/schedules/${id}`);
    const gone = await account.patch(`/v1/schedules/${id}`, { tasks: [body.tasks[1]] }, etag);
    expect(gone.status).toBe(200);
    await account.moveTo("2026-09-20T08:00:00Z");
    const sent = (await account.get("/v1/messages")).body.items;
    expect(sent.filter(({ subject }: { subject: string }) => /tyres/i.test(subject))).toEqual([]);
  });
});
