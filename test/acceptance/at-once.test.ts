import { afterAll, beforeAll, describe, expect, test } from "vitest";
import { sandbox } from "../support/client.ts";
import { type RunningService, startService } from "../support/service.ts";

const AT_ONCE = 24;

/** Different things about one machine, posted at once: each is written, none ends in a deadlock. */
describe("many posts about one machine at once", () => {
  let service: RunningService;
  let club: Awaited<ReturnType<typeof sandbox>>;
  let at: string;
  beforeAll(async () => {
    service = await startService();
    club = await sandbox(service, "2026-04-01T08:00:00Z");
    const machine = { name: "Single 150", kind: "motorcycle", meterUnit: "km" };
    at = `/v1/vehicles/${(await club.post("/v1/vehicles", machine)).body.id}`;
  });
  afterAll(() => service.stop());

  const BODIES: Record<string, (n: number) => object> = {
    "lay-ups": (n) => ({ from: `20${30 + n}-11-01`, to: `20${31 + n}-03-01` }),
    tasks: (n) => ({ title: `Task ${n}`, every: { months: 6 + n }, lastWork: "never" }),
    readings: (n) => ({ value: 100 + n }),
    "work-records": (n) => ({
      doneAt: `2026-03-${String(n + 1).padStart(2, "0")}`,
      by: { name: "Toni" },
    }),
    "meter-changes": (n) => ({
      at: `2025-01-${String(n + 1).padStart(2, "0")}T08:00:00Z`,
      after: 0,
    }),
  };

  test.each(Object.keys(BODIES))("%s", async (what) => {
    const answers = await Promise.all(
      Array.from({ length: AT_ONCE }, (_, n) => club.post(`${at}/${what}`, BODIES[what]?.(n))),
    );
    expect(answers.map(({ status }) => status)).toEqual(Array(AT_ONCE).fill(201));
  });
});

/** Whoever changes many machines locks them in one order, and what stands above them before. */
describe("changes of many machines at once", { timeout: 60_000 }, () => {
  let service: RunningService;
  let club: Awaited<ReturnType<typeof sandbox>>;
  let scheduleId: string;
  const vehicleIds: string[] = [];
  beforeAll(async () => {
    service = await startService();
    club = await sandbox(service, "2026-04-01T08:00:00Z");
    const every = { months: 6 };
    const tasks = [{ title: "Oil", every }];
    scheduleId = (await club.post("/v1/schedules", { name: "All", tasks })).body.id;
    for (let n = 0; n < 12; n += 1) {
      const machine = { name: `Number ${n}`, kind: "moped", meterUnit: "km", scheduleId };
      vehicleIds.push((await club.post("/v1/vehicles", machine)).body.id);
    }
  });
  afterAll(() => service.stop());

  const put = () =>
    club.post(`/v1/schedules/${scheduleId}/put-on`, { vehicleIds: vehicleIds.toReversed() });
  const readings = (n: number) =>
    vehicleIds.map((vehicleId, machine) => ({ vehicleId, value: 100 * n + machine }));
  const CHANGES: Record<string, (n: number) => Promise<{ status: number }>> = {
    "the member who looks after them": (n) =>
      club.patch(`/v1/members/${club.owner.id}`, { reminders: { leadDays: 20 + n } }, "*"),
    "the schedule that they stand by": (n) =>
      club.patch(`/v1/schedules/${scheduleId}`, { notes: `Version ${n}` }, "*"),
    "what stands on them": put,
    "the schedule of one": (n) =>
      club.patch(`/v1/vehicles/${vehicleIds[n]}`, { scheduleId: n % 2 ? scheduleId : null }, "*"),
    readings: (n) => club.post("/v1/readings/batch", { readings: readings(n) }),
    "the whole account's clock": (n) =>
      club.post("/v1/account/clock", { to: `2026-0${4 + n}-02T08:00:00Z` }),
  };

  test("none ends in a deadlock", async () => {
    const all = Array.from({ length: 3 }, (_, n) =>
      Object.entries(CHANGES).map(async ([what, change]) => ({
        what,
        status: (await change(n)).status,
      })),
    );
    const faults = (await Promise.all(all.flat())).filter(({ status }) => status >= 500);
    expect(faults).toEqual([]);
  });

  test("nor does the end of the account", async () => {
    const { headers } = await club.get("/v1/account");
    const etag = String(headers.get("etag"));
    const changes = Object.entries(CHANGES).map(async ([what, change]) => ({
      what,
      status: (await change(5)).status,
    }));
    const gone = await club.remove("/v1/account?name=Invented%20riders", etag);
    // The clock moves the account's version on.
    expect([200, 412]).toContain(gone.status);
    const faults = (await Promise.all(changes)).filter(({ status }) => status >= 500);
    expect(faults).toEqual([]);
  });
});
