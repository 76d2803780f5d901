import { afterAll, beforeAll, describe, expect, test } from "vitest";
import { type Json, sandbox } from "../support/client.ts";
import { type RunningService, startService } from "../support/service.ts";

describe("an instrument that is replaced", () => {
  let service: RunningService;
  let club: Awaited<ReturnType<typeof sandbox>>;
  beforeAll(async () => {
    service = await startService();
    club = await sandbox(service, "2026-04-01T08:00:00Z");
  });
  afterAll(() => service.stop());

  const made = async (path: string, body: Json): Promise<Json> => {
    const answer = await club.post(path, body);
    if (answer.status !== 201) throw new Error(JSON.stringify(answer.body));
    return answer.body;
  };
  const machine = async (): Promise<string> => {
    const fields = { name: "A machine", kind: "motorcycle", meterUnit: "km" };
    return `/v1/vehicles/${(await made("/v1/vehicles", fields)).id}`;
  };

  test("is taken to have shown last what was read last before it", async () => {
    const at = await machine();
    await made(`${at}/readings`, { value: 41_000, at: "2026-03-01T08:00:00Z" });
    const change = await made(`${at}/meter-changes`, { at: "2026-03-10T08:00:00Z", after: 0 });
    expect(change.before).toBe(41_000);
    const posted = await made(`${at}/readings`, { value: 150 });
    expect(posted).toMatchObject({ status: "accepted", total: 41_150 });
  });

  test("is taken to have shown its first figure, if it was replaced again before it was read", async () => {
    const at = await machine();
    await made(`${at}/readings`, { value: 41_000, at: "2026-03-01T08:00:00Z" });
    await made(`${at}/meter-changes`, { at: "2026-03-10T08:00:00Z", before: 41_100, after: 7 });
    const again = await made(`${at}/meter-changes`, { at: "2026-03-20T08:00:00Z", after: 0 });
    expect(again.before).toBe(7);
    const posted = await made(`${at}/readings`, { value: 150 });
    expect(posted).toMatchObject({ status: "accepted", total: 41_250 });
  });

  test("moves the work that was logged on its readings, and the due points with it", async () => {
    const at = await machine();
    await made(`${at}/readings`, { value: 1000, at: "2026-03-01T08:00:00Z" });
    const task = await made(`${at}/tasks`, {
      title: "A job",
      every: { distance: 5000 },
      lastWork: "unknown",
    });
    // A used instrument that had already run further; the change is noted only afterwards.
    await made(`${at}/work-records`, {
      doneAt: "2026-03-25T08:00:00Z",
      taskIds: [task.id],
      by: { name: "Toni" },
      reading: { value: 2500, unit: "km" },
    });
    expect((await club.get(`${at}/tasks/${task.id}`)).body.due.distance).toBe(7500);
    await made(`${at}/meter-changes`, { at: "2026-03-10T08:00:00Z", before: 1100, after: 2000 });
    const [latest] = (await club.get(`${at}/readings?limit=1`)).body.items;
    expect(latest).toMatchObject({ value: 2500, total: 1600 });
    // 1600 in all when the job was done, 5000 on: 6600 in all, when the instrument shows 7500.
    expect((await club.get(`${at}/tasks/${task.id}`)).body.due.distance).toBe(7500);
  });

  test("cannot be replaced twice at one instant, nor in the future", async () => {
    const at = await machine();
    const change = { at: "2026-03-10T08:00:00Z", before: 10, after: 0 };
    await made(`${at}/meter-changes`, change);
    const twice = await club.post(`${at}/meter-changes`, change);
    expect(twice.status).toBe(422);
    expect(twice.body.errors[0].pointer).toBe("#/at");
    const ahead = { ...change, at: "2026-05-01T08:00:00Z" };
    expect((await club.post(`${at}/meter-changes`, ahead)).body.errors[0].pointer).toBe("#/at");
  });
});
