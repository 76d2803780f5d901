import { afterAll, beforeAll, describe, expect, test } from "vitest";
import { type Client, clientOf, type Json, sandbox } from "../support/client.ts";
import { type RunningService, startService } from "../support/service.ts";

let service: RunningService;
let account: Awaited<ReturnType<typeof sandbox>>;
beforeAll(async () => {
  service = await startService();
  // In Auckland (UTC+12) the tenth has begun, in Honolulu (UTC-10) it is still the ninth.
  account = await sandbox(service, "2026-05-09T20:00:00Z", { timeZone: "Pacific/Auckland" });
});
afterAll(() => service.stop());

async function added(path: string, body: object): Promise<Json> {
  const made = await account.post(path, body);
  expect(made.status, JSON.stringify(made.body)).toBe(201);
  return made.body;
}

const vehicle = (fields: object) =>
  added("/v1/vehicles", { name: "Single 150", kind: "moped", meterUnit: "km", ...fields });

async function listed(path: string, client: Client = account): Promise<Json[]> {
  const page = await client.get(path);
  expect(page.status, JSON.stringify(page.body)).toBe(200);
  return page.body.items;
}

const names = async (path: string, client?: Client) =>
  (await listed(path, client)).map(({ name }) => name).sort();

describe("the list of vehicles", () => {
  let eve: Json;
  beforeAll(async () => {
    eve = await added("/v1/members", {
      name: "Eve",
      email: "eve@example.org",
      timeZone: "Pacific/Honolulu",
    });
    const layUp = { from: "2026-05-10", to: "2026-06-01" };
    for (const [name, fields] of Object.entries({
      ridden: {},
      sold: { disposedOn: "2026-05-10" },
      "sold tomorrow": { disposedOn: "2026-05-11" },
      "sold later there": { disposedOn: "2026-05-10", responsibleMemberId: eve.id },
      broken: { offRoad: true, group: "East quay" },
      resting: { layUp, kind: "bicycle" },
      "resting soon there": { layUp, responsibleMemberId: eve.id },
      rested: { layUp: { from: "2026-01-01", to: "2026-05-10" } },
      "sold while resting": { layUp, disposedOn: "2026-05-01" },
    }) as [string, Json][]) {
      const { layUp: period, ...rest } = fields;
      const { id } = await vehicle({ name, ...rest });
      if (period) await added(`/v1/vehicles/${id}/lay-ups`, period);
    }
  });

  test("picks out a status as it is today, where the machine is looked after", async () => {
    expect(await names("/v1/vehicles?status=disposed")).toEqual(["sold", "sold while resting"]);
    expect(await names("/v1/vehicles?status=offRoad")).toEqual(["broken"]);
    expect(await names("/v1/vehicles?status=laidUp")).toEqual(["resting"]);
    expect(await names("/v1/vehicles?status=inUse")).toEqual([
      "rested",
      "resting soon there",
      "ridden",
      "sold later there",
      "sold tomorrow",
    ]);
  });

  test("picks out what it tells of each vehicle, and no other", async () => {
    for (const { status } of await listed("/v1/vehicles?status=inUse")) {
      expect(status).toBe("inUse");
    }
    expect(await names("/v1/vehicles?group=East%20quay")).toEqual(["broken"]);
    expect(await names("/v1/vehicles?kind=bicycle")).toEqual(["resting"]);
    expect(await names(`/v1/vehicles?responsibleMemberId=${eve.id}&status=inUse`)).toEqual([
      "resting soon there",
      "sold later there",
    ]);
  });

  test("shows a rider who asks for another's machines none", async () => {
    const made = await added("/v1/api-keys", {
      name: "Phone",
      scopes: ["read"],
      memberId: eve.id,
    });
    const phone = clientOf(service.baseUrl, made.key);
    const mine = ["resting soon there", "sold later there"];
    expect(await names("/v1/vehicles", phone)).toEqual(mine);
    expect(await names(`/v1/vehicles?responsibleMemberId=${eve.id}`, phone)).toEqual(mine);
    const owner = account.owner.id;
    expect(await names(`/v1/vehicles?responsibleMemberId=${owner}`, phone)).toEqual([]);
    expect(await names("/v1/members", phone)).toEqual(["Eve"]);
    expect(await names("/v1/members?role=owner", phone)).toEqual([]);
    expect(await names("/v1/members?role=owner")).toEqual(["Robin"]);
    expect(await names(`/v1/api-keys?memberId=${eve.id}`)).toEqual(["Phone"]);
    expect(await names(`/v1/api-keys?memberId=${owner}`)).toEqual([]);
  });
});

describe("the lists of one machine", () => {
  let at: string;
  beforeAll(async () => {
    at = `/v1/vehicles/${(await vehicle({ inServiceOn: "2026-04-01" })).id}`;
  });

  test("fill each page of tasks with those of the state", async () => {
    for (let n = 0; n < 9; n += 1) {
      const lastWork = n % 3 === 0 ? "unknown" : "never";
      await added(`${at}/tasks`, { title: `Task ${n}`, lastWork, every: { months: 12 } });
    }
    const whole = (await listed(`${at}/tasks`)).map(({ title }) => title);
    expect(whole).toEqual([8, 7, 6, 5, 4, 3, 2, 1, 0].map((n) => `Task ${n}`));
    const seen: string[] = [];
    for (let next = `${at}/tasks?state=unknown&limit=2`; next !== ""; ) {
      const { body } = await account.get(next);
      seen.push(...body.items.map(({ title }: Json) => title));
      next = body.nextCursor ? `${at}/tasks?state=unknown&limit=2&cursor=${body.nextCursor}` : "";
    }
    expect(seen).toEqual(["Task 6", "Task 3", "Task 0"]);
  });

  test("take plain dates, which are whole days where the machine is looked after", async () => {
    for (const instant of [
      "2026-05-01T11:59:59Z",
      "2026-05-01T12:00:00Z",
      "2026-05-02T12:00:00Z",
    ]) {
      await added(`${at}/readings`, { value: 100, at: instant });
    }
    const between = async (query: string) =>
      (await listed(`${at}/readings?${query}`)).map((reading) => reading.at);
    expect(await between("from=2026-05-02&to=2026-05-02")).toEqual(["2026-05-01T12:00:00.000Z"]);
    expect(await between("from=2026-05-02")).toHaveLength(2);
    expect(await between("to=2026-05-01T12:00:00Z")).toEqual(["2026-05-01T11:59:59.000Z"]);
    const wrong = await account.get(`${at}/readings?from=May`);
    expect([wrong.status, wrong.body.errors[0].parameter]).toEqual([422, "from"]);
  });

  test("tell the lay-ups that have a day in the span", async () => {
    for (const [from, to] of [
      ["2025-01-01", "2025-03-01"],
      ["2026-03-01", "2026-04-01"],
      ["2027-01-01", null],
    ]) {
      await added(`${at}/lay-ups`, { from, to });
    }
    const between = async (query: string) =>
      (await listed(`${at}/lay-ups?${query}`)).map(({ from }) => from);
    expect(await between("from=2025-02-28&to=2025-02-28")).toEqual(["2025-01-01"]);
    expect(await between("from=2025-03-01&to=2026-02-28")).toEqual([]);
    expect(await between("from=2026-03-31")).toEqual(["2027-01-01", "2026-03-01"]);
  });

  test("tell the meter changes of one meter and span", async () => {
    await added(`${at}/meter-changes`, { at: "2026-05-05T08:00:00Z", before: 120, after: 0 });
    expect(await listed(`${at}/meter-changes?meter=hours`)).toEqual([]);
    expect(await listed(`${at}/meter-changes?from=2026-05-05&to=2026-05-05`)).toHaveLength(1);
    expect(await listed(`${at}/meter-changes?to=2026-05-04`)).toEqual([]);
  });
});

test("what changed since is told by every list of what can change", async () => {
  const { id } = await vehicle({});
  const now = (await account.get("/v1/account")).body.clock;
  const lists = [
    "/v1/vehicles",
    "/v1/members",
    "/v1/schedules",
    "/v1/api-keys",
    "/v1/webhook-endpoints",
    "/v1/calendar-feeds",
    "/v1/imports",
    "/v1/reminders",
    "/v1/messages",
    ...["readings", "tasks", "work-records", "lay-ups", "meter-changes"].map(
      (part) => `/v1/vehicles/${id}/${part}`,
    ),
  ];
  for (const list of lists) {
    expect(await listed(`${list}?updatedAfter=${now}`), list).toEqual([]);
  }
  await account.moveTo("2026-05-09T21:00:00Z");
  const changed = await account.get(`/v1/vehicles/${id}`);
  await account.patch(`/v1/vehicles/${id}`, { notes: "Seen" }, String(changed.headers.get("etag")));
  expect(await names(`/v1/vehicles?updatedAfter=${now}`)).toEqual(["Single 150"]);
});
