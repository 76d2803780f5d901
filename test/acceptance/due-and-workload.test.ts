import { afterAll, beforeAll, describe, expect, test } from "vitest";
import { clientOf, type Json, sandbox } from "../support/client.ts";
import { type RunningService, startService } from "../support/service.ts";

const FLEET = 23;
const dated = (title: string, on: string, more: object = {}) => ({
  ...{ title, kind: "fixedDate", on, every: { months: 12 }, lastWork: "never" },
  ...more,
});

let service: RunningService;
let account: Awaited<ReturnType<typeof sandbox>>;
const vehicleIds: string[] = [];

beforeAll(async () => {
  service = await startService();
  account = await sandbox(service, "2026-04-01T08:00:00Z");
  for (let n = 0; n < FLEET; n += 1) {
    const group = n % 2 === 0 ? "East quay" : "West quay";
    const body = { name: `Number ${n}`, kind: "moped", meterUnit: "km", group };
    const { id } = (await account.post("/v1/vehicles", body)).body;
    vehicleIds.push(id);
    const on = `2026-04-${String(n + 3).padStart(2, "0")}`;
    const at = `/v1/vehicles/${id}/tasks`;
    expect((await account.post(at, dated("Inspection", on, { minutes: 40 }))).status).toBe(201);
    expect((await account.post(at, dated("Insurance plate", "2026-11-01"))).status).toBe(201);
  }
});
afterAll(() => service.stop());

async function allDue(query: string): Promise<Json[]> {
  const items: Json[] = [];
  for (let cursor: string | null = ""; cursor !== null; ) {
    const more: string = cursor === "" ? "" : `&cursor=${encodeURIComponent(cursor)}`;
    const { status, body } = await account.get(`/v1/due?${query}${more}`);
    expect(status).toBe(200);
    items.push(...body.items);
    cursor = body.nextCursor;
  }
  return items;
}

describe("what falls due over a fleet", () => {
  test("comes page by page, each task once, the earliest first", async () => {
    const items = await allDue("withinDays=60&limit=5");
    expect(items.map(({ vehicleId }) => vehicleId)).toEqual(vehicleIds);
    expect(new Set(items.map(({ title }) => title))).toEqual(new Set(["Inspection"]));
    expect(items.every(({ probability }) => probability === 1)).toBe(true);
  });

  test("keeps to its window, a vehicle, a group and a state", async () => {
    const week = await allDue("from=2026-04-06&to=2026-04-12");
    expect(week.map(({ due }) => due.date)).toEqual(
      [6, 7, 8, 9, 10, 11, 12].map((day) => `2026-04-${String(day).padStart(2, "0")}`),
    );
    expect(await allDue(`withinDays=365&vehicleId=${vehicleIds[3]}`)).toHaveLength(2);
    const east = await allDue("withinDays=60&group=East%20quay");
    expect(east.map(({ vehicleName }) => vehicleName)).toEqual(
      Array.from({ length: 12 }, (_, n) => `Number ${2 * n}`),
    );
    expect(await allDue("withinDays=60&state=overdue")).toEqual([]);
  });

  test("a window that ends before it begins is refused by name", async () => {
    const { status, body } = await account.get("/v1/due?from=2026-05-01&to=2026-04-01");
    expect(status).toBe(422);
    expect(body.errors).toEqual([{ parameter: "to", detail: "must not lie before from" }]);
  });

  test("shows a key what its bounds let it see", async () => {
    const bound = await account.post("/v1/api-keys", {
      name: "Two machines",
      scopes: ["read"],
      vehicleIds: vehicleIds.slice(0, 2),
    });
    const client = clientOf(service.baseUrl, bound.body.key);
    const seen = (await client.get("/v1/due?withinDays=60")).body.items;
    expect(seen.map(({ vehicleId }: Json) => vehicleId)).toEqual(vehicleIds.slice(0, 2));
    expect((await client.get(`/v1/due?vehicleId=${vehicleIds[5]}`)).body.items).toEqual([]);
    const load = (await client.get("/v1/workload?weeks=4")).body;
    expect(load.weeks.reduce((sum: number, { jobs }: Json) => sum + jobs, 0)).toBe(2);
  });
});

describe("the work to expect", () => {
  test("week by week: numbers, time, and what nobody said a time for", async () => {
    const { body } = await account.get("/v1/workload?weeks=53");
    const [first, second] = body.weeks;
    expect(first).toEqual({
      ...{ week: "2026-W14", from: "2026-04-01", to: "2026-04-05" },
      ...{ jobs: 3, minutes: 120, untimed: 0, likely: { least: 3, most: 3 } },
    });
    expect(second).toMatchObject({ week: "2026-W15", from: "2026-04-06", jobs: 7, minutes: 280 });
    const november = body.weeks.find(({ from }: Json) => from === "2026-10-26");
    expect(november).toMatchObject({ jobs: FLEET, minutes: 0, untimed: FLEET });
    expect(body.waiting).toEqual({ jobs: 0, minutes: 0, untimed: 0 });
  });

  test("of one group alone", async () => {
    const { body } = await account.get("/v1/workload?weeks=4&group=West%20quay");
    expect(body.weeks.reduce((sum: number, { jobs }: Json) => sum + jobs, 0)).toBe(11);
  });

  test("a job by distance is shared out over weeks, and comes again", async () => {
    const made = await account.post("/v1/vehicles", {
      ...{ name: "By distance", kind: "motorcycle", meterUnit: "km", group: "Distance" },
      ...{ inServiceOn: "2025-04-01", declaredPerYear: 12_000 },
    });
    const at = `/v1/vehicles/${made.body.id}`;
    const chain = { title: "Chain", every: { distance: { km: 500 } }, minutes: 10 };
    await account.post(`${at}/tasks`, {
      ...chain,
      lastWork: { on: "2026-03-30", reading: 12_000 },
    });
    await account.post(`${at}/readings`, { value: 12_010, at: "2026-03-31T08:00:00Z" });
    const { weeks } = (await account.get("/v1/workload?weeks=26&group=Distance")).body;
    const jobs = weeks.reduce((sum: number, week: Json) => sum + week.jobs, 0);
    // 12,000 km a year are about 6,000 in half a year: some twelve times 500, less before the season.
    expect(jobs).toBeGreaterThan(7);
    expect(jobs).toBeLessThan(20);
    expect(weeks.some(({ jobs: n }: Json) => n > 0.05 && n < 0.95)).toBe(true);
  });

  test("what has come due waits", async () => {
    await account.moveTo("2026-04-08T08:00:00Z");
    const { waiting } = (await account.get("/v1/workload")).body;
    expect(waiting).toEqual({ jobs: 6, minutes: 240, untimed: 0 });
  });
});

test("a task by distance on a machine that was never read is unknown until it is", async () => {
  const other = await sandbox(service, "2026-07-15T08:00:00Z");
  const machine = { name: "Never read", kind: "motorcycle", meterUnit: "km" };
  const bought = { inServiceOn: "2026-04-01", declaredPerYear: 9000 };
  const at = `/v1/vehicles/${(await other.post("/v1/vehicles", { ...machine, ...bought })).body.id}`;
  const task = { title: "Oil", every: { distance: 1000 }, lastWork: "never" };
  const { id, state, forecast } = (await other.post(`${at}/tasks`, task)).body;
  expect({ state, forecast }).toEqual({ state: "unknown", forecast: null });
  expect((await other.get(`${at}/tasks?state=unknown`)).body.items).toHaveLength(1);
  await other.post(`${at}/readings`, { value: 940 });
  expect((await other.get(`${at}/tasks/${id}`)).body.state).toBe("ahead");
});
