import { Temporal } from "temporal-polyfill";
import { afterAll, beforeAll, describe, expect, test } from "vitest";
import { type Json, sandbox } from "../support/client.ts";
import { type RunningService, startService } from "../support/service.ts";
import { report } from "./support/report.ts";

/**
 * Days on which clocks jump, and when a reminder of that day speaks. The hour jumped over or repeated
 * is the sending hour (half an hour repeats no full one). Dates from the IANA time zone database; each is old enough that every release
 * of it which Node carries has the rule.
 *
 * The documented choice: a skipped hour is sent at as much later as the clocks jump, a repeated one
 * the first time, a skipped day the day after.
 */
const JUMPS = [
  ["gap", "Europe/Berlin", "2026-03-29", 2, "2026-03-29T03:00+02:00"],
  ["overlap", "Europe/Berlin", "2025-10-26", 2, "2025-10-26T02:00+02:00"],
  ["gap", "America/New_York", "2026-03-08", 2, "2026-03-08T03:00-04:00"],
  ["overlap", "America/New_York", "2025-11-02", 1, "2025-11-02T01:00-04:00"],
  ["gap of half an hour", "Australia/Lord_Howe", "2025-10-05", 2, "2025-10-05T02:30+11:00"],
  ["overlap of half an hour", "Australia/Lord_Howe", "2026-04-05", 2, "2026-04-05T02:00+10:30"],
  ["gap at midnight", "America/Santiago", "2025-09-07", 0, "2025-09-07T01:00-03:00"],
  ["overlap in Ramadan", "Africa/Casablanca", "2025-02-23", 2, "2025-02-23T02:00+01:00"],
  ["skipped day", "Pacific/Apia", "2011-12-30", 8, "2011-12-31T08:00+14:00"],
] as const;

/** Tasks that fall due on each of the days around, one a day. */
const DAYS = [-3, -2, -1, 0, 1, 2, 3];

describe("days that are odd", () => {
  let service: RunningService;
  beforeAll(async () => {
    service = await startService();
  });
  afterAll(() => service.stop());

  async function scene(zone: string, hour: number, from: Temporal.PlainDate) {
    const clock = new Date(`${from.toString()}T00:00:00Z`).toISOString();
    const reminders = { leadDays: 0, sendingHour: hour, askForReadings: false };
    const rider = await sandbox(service, clock, { timeZone: zone, reminders });
    const made = await rider.post("/v1/vehicles", {
      name: "Single 150",
      kind: "motorcycle",
      meterUnit: "km",
    });
    return { rider, tasks: `/v1/vehicles/${made.body.id}/tasks` };
  }

  test.each(JUMPS)(
    "%s in %s around %s: one message a day at most, none early, each due point once",
    async (what, zone, around, hour, speaks) => {
      const middle = Temporal.PlainDate.from(around);
      const { rider, tasks } = await scene(zone, hour, middle.subtract({ days: 10 }));
      const due = DAYS.map((days) => middle.add({ days }).toString());
      for (const on of due) {
        const made = await rider.post(tasks, { title: `Due on ${on}`, kind: "fixedDate", on });
        expect(made.status, JSON.stringify(made.body)).toBe(201);
      }
      await rider.moveTo(`${middle.add({ days: 20 }).toString()}T00:00:00Z`);
      const sent = (await rider.get("/v1/reminders?status=sent&limit=200")).body.items;
      const messages = (await rider.get("/v1/messages?kind=reminder&limit=200")).body.items;
      const local = messages.map(({ sentAt }: Json) =>
        Temporal.Instant.from(sentAt).toZonedDateTimeISO(zone).toPlainDate().toString(),
      );
      report({
        fault: `${what}, ${zone}`,
        backend: "-",
        tries: 1,
        due: due.length,
        sent: sent.length,
        lost: due.length - new Set(sent.map(({ taskId }: Json) => taskId)).size,
        repeated: sent.length - new Set(sent.map(({ taskId }: Json) => taskId)).size,
        note: `${messages.length} messages on ${new Set(local).size} days, at ${hour}:00`,
      });
      expect(new Set(local).size, "one message a day").toBe(local.length);
      expect(new Set(sent.map(({ taskId }: Json) => taskId)).size).toBe(due.length);
      expect(sent).toHaveLength(due.length);
      for (const { occurrence, sentAt } of sent) {
        const at = Temporal.Instant.from(sentAt).toZonedDateTimeISO(zone);
        const on = Temporal.PlainDate.from(occurrence.replace("date:", ""));
        const early = Temporal.PlainDate.compare(at.toPlainDate(), on) < 0;
        expect(early, `${occurrence} was mailed at ${at.toString()}`).toBe(false);
        expect(at.since(on.toZonedDateTime(zone)).total("hours")).toBeLessThan(49);
        expect(at.hour).toBeGreaterThanOrEqual(hour);
      }
      const onTheDay = sent.find(({ occurrence }: Json) => occurrence === `date:${around}`);
      expect(onTheDay.sentAt).toBe(new Date(speaks).toISOString());
    },
  );

  test("a yearly date on 29 February comes once a year, in common years too", async () => {
    const { rider, tasks } = await scene("Europe/Berlin", 8, Temporal.PlainDate.from("2024-01-01"));
    const { body: task } = await rider.post(tasks, {
      title: "Inspection",
      kind: "fixedDate",
      on: "2024-02-29",
      every: { months: 12 },
      late: { months: 1 },
    });
    for (let year = 2024; year <= 2028; year += 1) await rider.moveTo(`${year}-12-01T00:00:00Z`);
    const query = `/v1/reminders?taskId=${task.id}&status=sent&stage=due&limit=200`;
    const { items } = (await rider.get(query)).body;
    const due = items.map(({ occurrence }: Json) => occurrence).sort();
    report({
      ...{ fault: "29 February", backend: "-", tries: 5, due: 5, sent: items.length },
      ...{ lost: 5 - new Set(due).size, repeated: items.length - new Set(due).size },
      note: due.join(" "),
    });
    expect(due).toEqual([
      "date:2024-02-29",
      "date:2025-02-28",
      "date:2026-02-28",
      "date:2027-02-28",
      "date:2028-02-29",
    ]);
  });
});
