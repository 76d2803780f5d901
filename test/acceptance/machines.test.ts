import { afterAll, beforeAll, describe, expect, test } from "vitest";
import { type Json, sandbox } from "../support/client.ts";
import { type RunningService, startService } from "../support/service.ts";

describe("machines of all sorts", () => {
  let service: RunningService;
  let club: Awaited<ReturnType<typeof sandbox>>;
  beforeAll(async () => {
    service = await startService();
    club = await sandbox(service, "2026-04-01T08:00:00Z");
  });
  afterAll(() => service.stop());

  const machine = async (fields: Json): Promise<string> => {
    const made = await club.post("/v1/vehicles", {
      name: "A machine",
      kind: "motorcycle",
      meterUnit: "km",
      inServiceOn: "2026-01-01",
      ...fields,
    });
    if (made.status !== 201) throw new Error(JSON.stringify(made.body));
    return `/v1/vehicles/${made.body.id}`;
  };
  const task = async (at: string, fields: Json): Promise<Json> => {
    const made = await club.post(`${at}/tasks`, { title: "A job", lastWork: "never", ...fields });
    if (made.status !== 201) throw new Error(JSON.stringify(made.body));
    return made.body;
  };

  test("a machine in miles keeps the printed 600 mi, and takes a reading in km", async () => {
    const at = await machine({ meterUnit: "mi" });
    const made = await task(at, {
      first: { distance: { km: 1000, mi: 600 } },
      every: { distance: { km: 6000, mi: 4000 } },
    });
    expect(made.due.distance).toBe(600);
    const posted = await club.post(`${at}/readings`, { value: 160.9344, unit: "km" });
    expect(posted.body).toMatchObject({ value: 160.9344, unit: "km", total: 100 });
  });

  test("a printed pair that disagrees is warned of and not refused", async () => {
    const at = await machine({});
    const made = await task(at, { every: { distance: { km: 6000, mi: 40 } } });
    expect(made.warnings[0]).toMatchObject({ code: "pairDisagrees", pointer: "#/every/distance" });
  });

  test("a task without its last work is unknown, and says so", async () => {
    const at = await machine({});
    const made = await task(at, { every: { months: 12 }, lastWork: "unknown" });
    expect(made).toMatchObject({ state: "unknown", due: null });
    const stated = await club.patch(
      `${at}/tasks/${made.id}`,
      { lastWork: { on: "2026-03-01" } },
      '"1"',
    );
    expect(stated.body.due.date).toBe("2027-03-01");
  });

  test("a new instrument changes what is shown, never what was run", async () => {
    const at = await machine({});
    await club.post(`${at}/readings`, { value: 41_000, at: "2026-03-01T08:00:00Z" });
    const made = await task(at, {
      every: { distance: 1000 },
      lastWork: { on: "2026-02-01", reading: 40_500 },
    });
    expect(made.due.distance).toBe(41_500);
    const change = await club.post(`${at}/meter-changes`, {
      at: "2026-03-10T08:00:00Z",
      before: 41_100,
      after: 0,
    });
    expect(change.status).toBe(201);
    const posted = await club.post(`${at}/readings`, { value: 150 });
    expect(posted.body).toMatchObject({ status: "accepted", value: 150, total: 41_250 });
    expect((await club.get(`${at}/tasks/${made.id}`)).body.due.distance).toBe(400);
  });

  test("engine hours are a meter of their own", async () => {
    const at = await machine({ kind: "quad", hoursMeter: true });
    const made = await task(at, { every: { hours: 50 } });
    const posted = await club.post(`${at}/readings`, { value: 49.5, meter: "hours" });
    expect(posted.body).toMatchObject({ unit: "h", status: "accepted" });
    expect((await club.get(`${at}/tasks/${made.id}`)).body.forecast.likely.most).not.toBeNull();
    const none = await machine({});
    expect((await club.post(`${none}/readings`, { value: 1, meter: "hours" })).status).toBe(422);
  });

  test("severe use shortens what it concerns, a fixed date stands by itself", async () => {
    const at = await machine({});
    const severe = await task(at, {
      every: { distance: 6000, months: 24 },
      severe: { factor: 0.5, reason: "Dust", limits: ["distance"] },
    });
    expect(severe.due).toMatchObject({ distance: 3000, date: "2028-01-01" });
    const inspection = await task(at, {
      kind: "fixedDate",
      on: "2026-05-01",
      every: { months: 12 },
    });
    expect(inspection).toMatchObject({ occurrence: "date:2026-05-01" });
    await club.moveTo("2027-04-20T08:00:00Z");
    const next = (await club.get(`${at}/tasks/${inspection.id}`)).body;
    expect(next.occurrence).toBe("date:2027-05-01");
    const sent = (await club.get(`/v1/reminders?taskId=${inspection.id}&status=sent&limit=100`))
      .body.items;
    const ahead = sent.filter(({ stage }: Json) => stage === "ahead");
    expect(ahead.map(({ occurrence }: Json) => occurrence).sort()).toEqual([
      "date:2026-05-01",
      "date:2027-05-01",
    ]);
  });

  test("a voided record counts for nothing and stays to be read; an amended one keeps what stood", async () => {
    const at = await machine({});
    const made = await task(at, { every: { months: 12 } });
    const log = { doneAt: "2026-12-01", taskIds: [made.id], by: { name: "Toni" } };
    const first = (await club.post(`${at}/work-records`, log)).body;
    expect(first.next[0].due.date).toBe("2027-12-01");
    const amended = await club.post(`${at}/work-records/${first.id}/amend`, {
      reason: "A day off.",
      doneAt: "2026-12-02",
    });
    expect(amended.body).toMatchObject({ status: "amended", doneOn: "2026-12-02" });
    expect(amended.body.revisions[0]).toMatchObject({ what: "amended", reason: "A day off." });
    expect(amended.body.next[0].due.date).toBe("2027-12-02");
    expect((await club.post(`${at}/work-records/${first.id}/void`, {})).status).toBe(422);
    const voided = await club.post(`${at}/work-records/${first.id}/void`, {
      reason: "Another machine.",
    });
    expect(voided.body.status).toBe("void");
    expect((await club.get(`${at}/tasks/${made.id}`)).body.due.date).toBe("2027-01-01");
    expect((await club.get(`${at}/service-history`)).body.records).toHaveLength(1);
  });

  test("what falls due in a window is listed over all machines, likeliest first", async () => {
    const { body } = await club.get("/v1/due?withinDays=365&limit=200");
    expect(body.items.length).toBeGreaterThan(3);
    for (const { probability } of body.items) expect(probability).toBeGreaterThanOrEqual(0);
  });

  test("a machine that is new in a fleet is expected to be used as the others are", async () => {
    const hire = await sandbox(service, "2026-04-01T08:00:00Z");
    const scooter = { name: "For hire", kind: "eScooter", meterUnit: "km" };
    const made = async () => (await hire.post("/v1/vehicles", scooter)).body.id;
    const perDay = async (id: string) => {
      const { distance } = (await hire.get(`/v1/vehicles/${id}/forecast`)).body;
      return distance.perDay.quantiles.find(({ p }: Json) => p === 0.5).value;
    };
    const first = await made();
    await hire.post(`/v1/vehicles/${first}/readings`, { value: 3 });
    const alone = await perDay(first);
    for (let n = 0; n < 4; n += 1) {
      const vehicleId = await made();
      const readings = [1, 2, 3].map((month) => ({
        vehicleId,
        at: `2026-0${month}-01T10:00:00Z`,
        value: 900 * (month - 1) + n,
      }));
      const batch = await hire.post("/v1/readings/batch", { readings });
      expect(batch.status).toBe(200);
    }
    const lent = await perDay(first);
    expect(lent).toBeGreaterThan(1.5 * alone);
  });

  test("the drawing of a forecast is a drawing", async () => {
    const at = await machine({});
    await club.post(`${at}/readings`, { value: 10 });
    const svg = await club.get(`${at}/forecast.svg`);
    expect(svg.headers.get("content-type")).toContain("image/svg+xml");
    expect(svg.body).toMatch(/^<svg/);
    expect(svg.body).not.toContain("<script");
  });

  test("a date on the last day that there is holds up nobody", async () => {
    const at = await machine({});
    const last = "9999-12-31";
    await task(at, { kind: "fixedDate", on: last, lastWork: undefined });
    await task(at, { kind: "fixedDate", on: last, every: { months: 12 }, lastWork: undefined });
    await task(at, { kind: "once", first: { distance: 1e6 }, lead: { days: 20 } });
    for (const path of [`${at}/forecast.svg`, `${at}/forecast`, `${at}/tasks`, "/v1/workload"]) {
      expect((await club.get(path)).status, path).toBe(200);
    }
    const due = await club.get(`/v1/due?from=2026-04-01&to=${last}`);
    expect([200, 422]).toContain(due.status);
    const beyond = await club.post("/v1/account/clock", { to: "9000-01-01T00:00:00Z" });
    expect(beyond.status).toBe(422);
    expect(beyond.body.errors[0].detail).toBe("must lie before the year 9000");
  });
});
