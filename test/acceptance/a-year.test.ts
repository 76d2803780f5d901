import { afterAll, beforeAll, describe, expect, test } from "vitest";
import { type Client, type Json, sandbox } from "../support/client.ts";
import { type RunningService, startService } from "../support/service.ts";

/**
 * A rider's year over HTTP alone: run-in service due, reminded, done, next one planned, a slipped
 * digit held and corrected, a winter lay-up. Machine and figures are invented.
 */
describe("a year of a single 150 in a sandbox", () => {
  let service: RunningService;
  let rider: Awaited<ReturnType<typeof sandbox>>;
  let vehicle: Json;
  let valves: Json;

  beforeAll(async () => {
    service = await startService();
    rider = await sandbox(service, "2026-04-01T08:00:00Z");
  });
  afterAll(() => service.stop());

  const at = () => `/v1/vehicles/${vehicle.id}`;
  const task = async () => (await rider.get(`${at()}/tasks/${valves.id}`)).body;
  const mails = async (): Promise<Json[]> =>
    (await rider.get("/v1/messages?limit=200")).body.items.filter(
      ({ status }: Json) => status === "sent",
    );

  test("a new machine with its run-in service has a due point at 1,000 km", async () => {
    const added = await rider.post("/v1/vehicles", {
      name: "Single 150",
      kind: "motorcycle",
      meterUnit: "km",
      inServiceOn: "2026-04-01",
      declaredPerYear: 6000,
    });
    expect(added.status).toBe(201);
    expect(added.headers.get("location")).toBe(`/v1/vehicles/${added.body.id}`);
    vehicle = added.body;
    const made = await rider.post(`${at()}/tasks`, {
      title: "Valve clearance",
      first: { distance: { km: 1000, mi: 600 } },
      every: { distance: { km: 6000, mi: 4000 }, months: 12 },
      cautions: ["Cold engine only."],
      points: [
        {
          name: "Inlet",
          quantity: "clearance",
          unit: "mm",
          lower: 0.08,
          upper: 0.13,
          method: "feeler",
          leaves: [0.08, 0.1, 0.13],
        },
      ],
      lastWork: "never",
    });
    expect(made.status).toBe(201);
    valves = made.body;
    expect(valves.due).toMatchObject({ distance: 1000 });
    expect(valves.due.date).toBeUndefined();
    expect(valves.occurrence).toBe("start");
  });

  test("readings turn it into a range of dates", async () => {
    expect((await rider.post(`${at()}/readings`, { value: 8 })).status).toBe(201);
    await rider.moveTo("2026-04-12T18:00:00Z");
    const posted = await rider.post(`${at()}/readings`, { value: 260 });
    expect(posted.body.status).toBe("accepted");
    const { likely, quantiles } = (await task()).forecast;
    expect(quantiles.map(({ p }: Json) => p)).toEqual(expect.arrayContaining([0.1, 0.5, 0.9]));
    expect(likely.from < likely.most && likely.most < likely.to).toBe(true);
  });

  test("a digit too many is held, told, and put right; the estimate never saw it", async () => {
    await rider.moveTo("2026-04-24T18:00:00Z");
    const before = (await task()).forecast;
    const slipped = await rider.post(`${at()}/readings`, { value: 5200 });
    expect(slipped.status).toBe(201);
    expect(slipped.body.status).toBe("held");
    expect(slipped.body.reasons[0].likelierValue).toBe(520);
    expect((await task()).forecast).toEqual(before);
    const corrected = await rider.post(`${at()}/readings/${slipped.body.id}/correct`, {
      value: 520,
    });
    expect(corrected.status).toBe(201);
    expect(corrected.body).toMatchObject({
      status: "accepted",
      value: 520,
      replacesId: slipped.body.id,
    });
    const old = await rider.get(`${at()}/readings/${slipped.body.id}`);
    expect(old.body.status).toBe("superseded");
  });

  test("a reminder is mailed ahead, with the range and what it is about", async () => {
    await rider.moveTo("2026-05-20T18:00:00Z");
    const ahead = (await rider.get("/v1/reminders?stage=ahead&status=sent")).body.items;
    expect(ahead).toHaveLength(1);
    const message = (await rider.get(`/v1/messages/${ahead[0].messageId}`)).body;
    expect(message.status).toBe("sent");
    expect(message.text).toContain("Valve clearance");
    expect(message.text).toContain("Single 150");
    expect(message.text).toContain("Cold engine only.");
    expect(message.headers).toMatchObject({
      "Auto-Submitted": "auto-generated",
      "List-Unsubscribe-Post": "List-Unsubscribe=One-Click",
    });
    expect(message.attachments.map(({ contentType }: Json) => contentType)).toEqual([
      expect.stringContaining("text/calendar"),
    ]);
  });

  test("the work is logged with what was measured, judged, and the next due point worked out", async () => {
    const logged = await rider.post(`${at()}/work-records`, {
      doneAt: "2026-05-20",
      reading: { value: 985, unit: "km" },
      taskIds: [valves.id],
      by: { name: "Robin", trade: "owner" },
      findings: [
        { point: "Inlet", asFound: { goes: 0.1, refuses: 0.13 }, condition: { cold: true } },
      ],
    });
    expect(logged.status).toBe(201);
    expect(logged.body).toMatchObject({ window: "within", status: "standing" });
    expect(logged.body.findings[0].verdict).toBe("inSpec");
    expect(logged.body.next[0].due).toMatchObject({ distance: 6985, date: "2027-05-20" });
    const planned = (await rider.get("/v1/reminders?status=planned")).body.items;
    expect(planned.every(({ occurrence }: Json) => occurrence !== "start")).toBe(true);
  });

  test("the old reminder is silent from then on", async () => {
    const count = (await mails()).length;
    await rider.moveTo("2026-05-27T18:00:00Z");
    const since = (await mails()).slice(0, (await mails()).length - count);
    const reminders = await Promise.all(
      since.flatMap(({ reminders: ids }: Json) =>
        ids.map((id: string) => rider.get(`/v1/reminders/${id}`)),
      ),
    );
    expect(reminders.filter(({ body }) => body.occurrence === "start")).toEqual([]);
  });

  test("a winter lay-up: distance stands still, the calendar runs on", async () => {
    for (const [to, value] of [
      ["2026-06-15T18:00:00Z", 1700],
      ["2026-07-20T18:00:00Z", 2600],
      ["2026-09-10T18:00:00Z", 3900],
      ["2026-10-25T18:00:00Z", 4600],
    ] as const) {
      await rider.moveTo(to);
      expect((await rider.post(`${at()}/readings`, { value })).body.status).toBe("accepted");
    }
    const laidUp = await rider.post(`${at()}/lay-ups`, {
      from: "2026-11-01",
      to: "2027-03-01",
      reason: "Winter storage",
    });
    expect(laidUp.status).toBe(201);
    await rider.moveTo("2027-01-15T18:00:00Z");
    expect((await rider.get(at())).body.status).toBe("laidUp");
    const forecast = (await rider.get(`${at()}/forecast`)).body;
    const [p10, p90] = [0.1, 0.9].map(
      (p) => forecast.distance.now.quantiles.find((one: Json) => one.p === p).value,
    );
    expect(p90 - p10).toBeLessThan(400);
    expect((await task()).due.date).toBe("2027-05-20");
  });

  test("before the calendar limit it is reminded again, once, whatever the distance says", async () => {
    await rider.moveTo("2027-05-21T18:00:00Z");
    const sent = (await rider.get("/v1/reminders?status=sent&limit=200")).body.items.filter(
      ({ occurrence, stage }: Json) => occurrence.startsWith("work:") && stage !== "ask",
    );
    expect(sent.filter(({ stage }: Json) => stage === "ahead")).toHaveLength(1);
    expect((await task()).state).toMatch(/due|overdue/);
  });

  test("the service history shows it as a buyer or a warranty clerk reads it", async () => {
    const history = await rider.get(`${at()}/service-history`, { accept: "application/json" });
    expect(history.status).toBe(200);
    expect(history.body.records).toHaveLength(1);
    expect(history.body.records[0]).toMatchObject({ doneOn: "2026-05-20", window: "within" });
    const csv = await rider.get(`${at()}/service-history`, { accept: "text/csv" });
    expect(csv.headers.get("content-type")).toContain("text/csv");
    expect(csv.body).toContain("2026-05-20");
  });

  test("everything that changed stands in the log, in order", async () => {
    const { items } = (await (rider as Client).get("/v1/events?limit=200")).body;
    const types = items.map(({ type }: Json) => type);
    for (const type of [
      "reading.recorded",
      "reading.held",
      "reading.corrected",
      "work.logged",
      "reminder.sent",
    ]) {
      expect(types).toContain(type);
    }
    const times = items.map(({ at: instant }: Json) => instant);
    expect(times).toEqual([...times].sort());
  });
});
