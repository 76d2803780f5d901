import { afterAll, beforeAll, expect, test } from "vitest";
import { sandbox } from "../support/client.ts";
import { type RunningService, startService } from "../support/service.ts";

let service: RunningService;
beforeAll(async () => {
  service = await startService();
});
afterAll(() => service.stop());

test("a change of a member moves the reminders of the machines that they look after", async () => {
  const rider = await sandbox(service, "2026-04-01T08:00:00Z");
  const machine = { name: "Single 150", kind: "motorcycle", meterUnit: "km" };
  const vehicle = await rider.post("/v1/vehicles", machine);
  await rider.post(`/v1/vehicles/${vehicle.body.id}/tasks`, {
    ...{ title: "Inspection", kind: "fixedDate", on: "2026-06-01", every: { months: 24 } },
    lastWork: "never",
  });
  const planned = async () =>
    (await rider.get("/v1/reminders?stage=ahead")).body.items.map(
      ({ plannedFor }: { plannedFor: string }) => plannedFor,
    );
  // 21 days ahead, at eight in the morning in Berlin, as long as nothing else was said.
  expect(await planned()).toEqual(["2026-05-11T06:00:00.000Z"]);
  const reminders = { leadDays: 10, sendingHour: 18 };
  const changed = await rider.patch(`/v1/members/${rider.owner.id}`, { reminders }, "*");
  expect(changed.body.reminders).toMatchObject(reminders);
  await rider.moveTo("2026-04-01T08:00:01Z");
  expect(await planned()).toEqual(["2026-05-22T16:00:00.000Z"]);
});
