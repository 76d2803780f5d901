import fc from "fast-check";
import { describe, expect, it } from "vitest";
import { type AskToPlan, planAsk } from "../../../src/domain/reminder/plan-ask.ts";
import type { Existing } from "../../../src/domain/reminder/reminder.ts";
import { nextSendingHour } from "../../../src/domain/reminder/sending-hour.ts";
import { at, DAY, NOW, preferences } from "./example-task.ts";
import { type SimulatedRider, simulatedOutlook } from "./simulated-outlook.ts";

const rider: SimulatedRider = { lastDay: NOW / DAY, median: 60, spread: 0.2, odds: 0.05, gap: 20 };
const ask = (changes: Partial<AskToPlan> = {}): AskToPlan => ({
  memberId: "m",
  vehicleId: "v",
  tasks: [{ outlook: simulatedOutlook(rider), leadDays: 21 }],
  silentSince: NOW,
  south: false,
  preferences,
  now: NOW,
  existing: [],
  ...changes,
});
const asked = (number: number, changes: Partial<Existing>): Existing => ({
  id: `ask${number}`,
  memberId: "m",
  vehicleId: "v",
  taskId: null,
  occurrence: `ask:${number}`,
  revision: 0,
  stage: "ask",
  plannedFor: NOW,
  status: "sent",
  ...changes,
});

describe("a reading is asked for", () => {
  it("once a machine that is ridden on may come to the due point within the lead", () => {
    const wanted = planAsk(ask());
    expect(wanted).toMatchObject({ stage: "ask", occurrence: "ask:1", why: { by: "forecast" } });
    const day = (wanted?.plannedFor ?? 0) / DAY;
    const outlook = simulatedOutlook(rider);
    expect(outlook.reachedRiding(day, day + 21)).toBeGreaterThanOrEqual(0.05);
    expect(outlook.reachedRiding(day - 2, day + 19)).toBeLessThan(0.05);
  });

  it("no sooner than 7 days after the last one", () => {
    const near = [{ outlook: simulatedOutlook({ ...rider, median: 10 }), leadDays: 21 }];
    expect(planAsk(ask({ tasks: near }))?.plannedFor).toBe(at("2026-05-09T06:00:00Z"));
  });

  it("no sooner than 30 days after the last ask, under the next number", () => {
    const near = [{ outlook: simulatedOutlook({ ...rider, median: 20 }), leadDays: 21 }];
    const existing = [asked(3, { sentAt: NOW - 2 * DAY })];
    const wanted = planAsk(ask({ tasks: near, existing }));
    expect(wanted?.occurrence).toBe("ask:4");
    expect(wanted?.plannedFor).toBe(at("2026-05-30T06:00:00Z"));
  });

  it("for the task that needs it first", () => {
    const later = { outlook: simulatedOutlook({ ...rider, median: 300 }), leadDays: 21 };
    const both = ask({ tasks: [later, ...ask().tasks] });
    expect(planAsk(both)?.plannedFor).toBe(planAsk(ask())?.plannedFor);
  });

  it("of a silent rider, whose probability fell, all the same, but not each month", () => {
    const silent = simulatedOutlook({ ...rider, median: 150, odds: 3, gap: 8 });
    const tasks = [{ outlook: silent, leadDays: 21 }];
    const existing: Existing[] = [];
    const gaps = [1, 2, 3, 4].map((number) => {
      const wanted = planAsk(ask({ tasks, existing }))!;
      const { sentAt = NOW } = existing.at(-1) ?? {};
      existing.push(asked(number, { sentAt: wanted.plannedFor }));
      if (number === 1) expect(wanted.why.by).toBe("silence");
      return (wanted.plannedFor - sentAt) / DAY;
    });
    expect(gaps[1]).toBeGreaterThanOrEqual(30);
    expect(gaps[1]).toBeLessThan(32);
    expect(gaps[2]).toBeGreaterThanOrEqual(90);
    expect(gaps[3]).toBeGreaterThanOrEqual(90);
  });

  it("each month again of a rider who answers", () => {
    const near = [{ outlook: simulatedOutlook({ ...rider, median: 20 }), leadDays: 21 }];
    const existing = [120, 80, 40].map((ago, i) => asked(i + 1, { sentAt: NOW - ago * DAY }));
    expect(planAsk(ask({ tasks: near, existing }))?.plannedFor).toBe(at("2026-05-09T06:00:00Z"));
  });

  it("to begin with, where there is none", () => {
    const wanted = planAsk(ask({ tasks: [{ outlook: null, leadDays: 21 }] }));
    expect(wanted).toMatchObject({ why: { by: "noReading" } });
    expect(wanted?.plannedFor).toBe(at("2026-05-09T06:00:00Z"));
  });

  it("in spring, whether a lay-up has ended, north and south", () => {
    const now = at("2026-11-10T10:00:00Z");
    const layUp = { from: at("2026-11-01T00:00:00Z"), until: null };
    const spring = planAsk(ask({ now, silentSince: layUp.from, layUp }));
    expect(spring).toMatchObject({
      plannedFor: at("2027-03-01T07:00:00Z"),
      why: { by: "layUp" },
    });
    const south = planAsk(ask({ now, silentSince: layUp.from, layUp, south: true }));
    expect(south?.plannedFor).toBe(at("2027-09-01T06:00:00Z"));
  });
});

describe("a reading is not asked for", () => {
  it("of a member who does not want it", () => {
    expect(planAsk(ask({ preferences: { ...preferences, askForReadings: false } }))).toBeNull();
  });

  it("where no task has a meter limit, or a reading shows already that it is due", () => {
    expect(planAsk(ask({ tasks: [] }))).toBeNull();
    const shown = simulatedOutlook(rider, { reachedByReading: true });
    expect(planAsk(ask({ tasks: [{ outlook: shown, leadDays: 21 }] }))).toBeNull();
  });

  it("once the calendar has decided", () => {
    const decided = simulatedOutlook(rider, { dueDate: "2026-05-05" });
    expect(planAsk(ask({ tasks: [{ outlook: decided, leadDays: 21 }] }))).toBeNull();
  });

  it("during a lay-up whose end is known", () => {
    const layUp = { from: NOW - DAY, until: at("2026-08-01T00:00:00Z") };
    const wanted = planAsk(ask({ layUp }));
    expect(wanted?.plannedFor ?? Number.MAX_VALUE).toBeGreaterThanOrEqual(layUp.until);
  });
});

it("what a person called off counts as asked", () => {
  const off = asked(1, { status: "cancelled", cancelledBy: "person", plannedFor: NOW });
  const wanted = planAsk(ask({ existing: [off] }));
  expect(wanted?.occurrence).toBe("ask:2");
  expect(wanted?.plannedFor).toBeGreaterThanOrEqual(NOW + 30 * DAY);
});

it("every ask lies on a sending hour, 7 days after the reading, 30 after the last ask", () => {
  fc.assert(
    fc.property(
      fc.double({ min: 1, max: 400, noNaN: true }),
      fc.double({ min: 0, max: 0.6, noNaN: true }),
      fc.integer({ min: 0, max: 100 }),
      (median, odds, askedAgo) => {
        const tasks = [{ outlook: simulatedOutlook({ ...rider, median, odds }), leadDays: 21 }];
        const sentAt = NOW - askedAgo * DAY;
        const wanted = planAsk(ask({ tasks, existing: [asked(1, { sentAt })] }));
        if (wanted === null) return;
        expect(wanted.plannedFor).toBeGreaterThanOrEqual(
          Math.max(NOW + 7 * DAY, sentAt + 30 * DAY),
        );
        expect(nextSendingHour(wanted.plannedFor, preferences)).toBe(wanted.plannedFor);
      },
    ),
  );
});
