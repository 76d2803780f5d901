import { afterAll, beforeAll, describe, expect, test } from "vitest";
import { type Json, sandbox } from "../support/client.ts";
import { type RunningService, startService } from "../support/service.ts";
import { report } from "./support/report.ts";

describe("what was mailed wrongly, or never logged, silences no real reminder", () => {
  let service: RunningService;
  beforeAll(async () => {
    service = await startService();
  });
  afterAll(() => service.stop());

  async function machine(clock: string) {
    const rider = await sandbox(service, clock, { reminders: { askForReadings: false } });
    const made = await rider.post("/v1/vehicles", {
      name: "Single 150",
      kind: "motorcycle",
      meterUnit: "km",
      inServiceOn: "2025-01-01",
      declaredPerYear: 6000,
    });
    const at = `/v1/vehicles/${made.body.id}`;
    const task = async (body: Record<string, unknown>) =>
      (await rider.post(`${at}/tasks`, body)).body;
    const sent = async (taskId: string, stage: string): Promise<Json[]> =>
      (await rider.get(`/v1/reminders?taskId=${taskId}&stage=${stage}&status=sent&limit=200`)).body
        .items;
    return { rider, at, task, sent };
  }

  function tell(fault: string, due: number, sent: number) {
    const lost = Math.max(0, due - sent);
    report({
      ...{ fault, backend: "-", tries: 1, due, sent, lost },
      ...{ repeated: Math.max(0, sent - due), note: "" },
    });
  }

  test("a reading of 52,100 corrected to 5,210 after ahead was mailed: the real one comes, once", async () => {
    const { rider, at, task, sent } = await machine("2026-01-10T08:00:00Z");
    const oil = await task({
      title: "Oil change",
      every: { distance: 6000 },
      lastWork: { on: "2025-06-01", reading: 1000 },
    });
    await rider.post(`${at}/readings`, { value: 5000 });
    await rider.moveTo("2026-01-20T08:00:00Z");
    const slip = await rider.post(`${at}/readings`, { value: 52_100 });
    // It is held; somebody confirms it in error, and the machine seems long overdue.
    await rider.post(`${at}/readings/${slip.body.id}/confirm`);
    await rider.moveTo("2026-01-23T08:00:00Z");
    const wrong = (await rider.get(`/v1/reminders?taskId=${oil.id}&status=sent`)).body.items;
    expect(wrong.length).toBeGreaterThan(0);
    await rider.post(`${at}/readings/${slip.body.id}/correct`, { value: 5210, unit: "km" });
    await rider.moveTo("2026-03-20T08:00:00Z");
    await rider.post(`${at}/readings`, { value: 6200 });
    await rider.moveTo("2026-04-25T08:00:00Z");
    await rider.post(`${at}/readings`, { value: 6810 });
    await rider.moveTo("2026-05-08T08:00:00Z");
    await rider.post(`${at}/readings`, { value: 7030 });
    await rider.moveTo("2026-05-15T08:00:00Z");
    const real = (await sent(oil.id, "ahead")).filter(({ revision }) => revision > 0);
    const due = (await sent(oil.id, "due")).filter(({ revision }) => revision > 0);
    tell("52,100 corrected to 5,210 after the mail", 2, real.length + due.length);
    expect(real).toHaveLength(1);
    expect(due).toHaveLength(1);
    expect(real[0].sentAt < due[0].sentAt).toBe(true);
  });

  test("two printed marks passed unlogged: each stage of the first comes once, then the mark after the work", async () => {
    const { rider, at, task, sent } = await machine("2026-01-10T08:00:00Z");
    const valves = await task({
      title: "Valve clearance",
      every: { distance: 1000 },
      repeatFrom: "marks",
      lastWork: "never",
    });
    const ride = async (on: string, value: number) => {
      await rider.moveTo(`${on}T08:00:00Z`);
      await rider.post(`${at}/readings`, { value });
    };
    await ride("2026-01-20", 400);
    await ride("2026-03-01", 1080);
    await ride("2026-05-01", 2080);
    await ride("2026-05-20", 2400);
    await rider.moveTo("2026-05-24T08:00:00Z");
    const first = [];
    for (const stage of ["ahead", "due", "overdue"]) {
      const ofMark = (await sent(valves.id, stage)).filter(
        ({ occurrence }) => occurrence === "mark:1000",
      );
      first.push(ofMark.length);
    }
    await rider.post(`${at}/work-records`, {
      doneAt: "2026-05-24",
      reading: { value: 2450, unit: "km" },
      taskIds: [valves.id],
      by: { name: "Toni" },
    });
    await ride("2026-06-14", 2800);
    await rider.moveTo("2026-06-28T08:00:00Z");
    const next = (await sent(valves.id, "ahead")).filter(
      ({ occurrence }) => occurrence === "mark:3000",
    );
    const count = first.reduce((sum, n) => sum + n, 0);
    tell("two printed marks passed unlogged", 4, count + next.length);
    expect(first).toEqual([1, 1, 1]);
    expect(next).toHaveLength(1);
  });

  test("a yearly date that was not logged last year is announced this year, once", async () => {
    const { rider, task, sent } = await machine("2026-01-10T08:00:00Z");
    const inspection = await task({
      title: "Inspection",
      kind: "fixedDate",
      on: "2026-05-01",
      every: { months: 12 },
    });
    await rider.moveTo("2028-06-01T08:00:00Z");
    const ahead = await sent(inspection.id, "ahead");
    tell("a yearly date not logged last year", 3, ahead.length);
    expect(ahead.map(({ occurrence }) => occurrence).sort()).toEqual([
      "date:2026-05-01",
      "date:2027-05-01",
      "date:2028-05-01",
    ]);
  });

  test("an interval made longer after ahead was mailed: the real one comes, once", async () => {
    const { rider, at, task, sent } = await machine("2026-01-10T08:00:00Z");
    const fluid = await task({
      title: "Brake fluid",
      every: { months: 12 },
      lastWork: { on: "2025-02-01" },
    });
    await rider.moveTo("2026-01-20T08:00:00Z");
    expect(await sent(fluid.id, "ahead")).toHaveLength(1);
    const { headers } = await rider.get(`${at}/tasks/${fluid.id}`);
    const etag = headers.get("etag") ?? "";
    await rider.patch(`${at}/tasks/${fluid.id}`, { every: { months: 24 } }, etag);
    await rider.moveTo("2027-02-10T08:00:00Z");
    const again = (await sent(fluid.id, "ahead")).filter(({ revision }) => revision > 0);
    const due = await sent(fluid.id, "due");
    tell("an interval edited after the mail", 2, again.length + due.length);
    expect(again.map(({ sentAt }) => sentAt.slice(0, 10))).toEqual(["2027-01-11"]);
    expect(due.map(({ sentAt }) => sentAt.slice(0, 10))).toEqual(["2027-02-01"]);
  });

  test("a lay-up that begins after ahead and ends in spring: the distance speaks after it, once", async () => {
    const { rider, at, task, sent } = await machine("2026-08-01T08:00:00Z");
    const chain = await task({
      title: "Chain",
      every: { distance: 1000 },
      lastWork: { on: "2026-06-01", reading: 5000 },
    });
    await rider.post(`${at}/readings`, { value: 5200 });
    await rider.moveTo("2026-09-01T08:00:00Z");
    await rider.post(`${at}/readings`, { value: 5710 });
    await rider.moveTo("2026-09-14T08:00:00Z");
    expect(await sent(chain.id, "ahead")).toHaveLength(1);
    await rider.post(`${at}/lay-ups`, { from: "2026-09-15", to: "2027-03-15" });
    await rider.moveTo("2027-03-15T08:00:00Z");
    expect(await sent(chain.id, "due")).toHaveLength(0);
    await rider.moveTo("2027-04-10T08:00:00Z");
    await rider.post(`${at}/readings`, { value: 6010 });
    await rider.moveTo("2027-04-20T08:00:00Z");
    const due = await sent(chain.id, "due");
    tell("a lay-up between ahead and due", 1, due.length);
    expect(due).toHaveLength(1);
  });

  test("a deferral that ends speaks once, with the furthest stage that is reached", async () => {
    const { rider, task } = await machine("2026-01-10T08:00:00Z");
    const fluid = await task({
      title: "Brake fluid",
      every: { months: 12 },
      late: { months: 3 },
      lastWork: { on: "2025-02-10" },
    });
    await rider.moveTo("2026-01-21T08:00:00Z");
    const query = `/v1/reminders?taskId=${fluid.id}&limit=200`;
    const [ahead] = (await rider.get(`${query}&stage=ahead`)).body.items;
    await rider.post(`/v1/reminders/${ahead.id}/defer`, { untilOn: "2026-03-02" });
    await rider.moveTo("2026-03-20T08:00:00Z");
    const sent = (await rider.get(`${query}&status=sent`)).body.items;
    const after = sent.filter(({ stage }: Json) => stage !== "ahead");
    tell("a deferral that ends", 1, after.length);
    expect(after).toMatchObject([{ stage: "due" }]);
    expect(after[0].sentAt.slice(0, 10)).toBe("2026-03-02");
  });
});
