import { describe, expect, it } from "vitest";
import { comparePlans } from "../../../src/domain/reminder/compare-plans.ts";
import { reminderKey, type Wanted } from "../../../src/domain/reminder/reminder.ts";
import { DAY, NOW, stored } from "./example-task.ts";

const wanted = (changes: Partial<Wanted> = {}): Wanted => ({
  memberId: "m",
  vehicleId: "v",
  taskId: "t",
  occurrence: "mark:6000",
  revision: 0,
  stage: "ahead",
  plannedFor: NOW,
  why: { by: "forecast" },
  ...changes,
});
const row = stored(wanted());

describe("what a new plan writes", () => {
  it("is nothing where no moment changed, though the reason did", () => {
    const plan = comparePlans([row], [wanted({ why: { by: "ridingOn" } })]);
    expect(plan).toEqual({ insert: [], move: [], cancel: [] });
  });

  it("is the new moment of a planned or deferred reminder", () => {
    const later = wanted({ plannedFor: NOW + DAY });
    const move = [{ id: row.id, plannedFor: NOW + DAY, why: { by: "forecast" } }];
    expect(comparePlans([row], [later]).move).toEqual(move);
    expect(comparePlans([{ ...row, status: "deferred" }], [later]).move).toEqual(move);
  });

  it("leaves alone what was sent, has failed or was cancelled by a person", () => {
    const later = [wanted({ plannedFor: NOW + DAY })];
    for (const change of [
      { status: "sent", sentAt: NOW },
      { status: "failed" },
      { status: "cancelled", cancelledBy: "person" },
    ] as const) {
      expect(comparePlans([{ ...row, ...change }], later)).toEqual({
        insert: [],
        move: [],
        cancel: [],
      });
      expect(comparePlans([{ ...row, ...change }], [])).toEqual({
        insert: [],
        move: [],
        cancel: [],
      });
    }
  });

  it("takes up again what an earlier plan had cancelled, under its own key", () => {
    const cancelled = { ...row, status: "cancelled", cancelledBy: "plan" } as const;
    expect(comparePlans([cancelled], [wanted()])).toEqual({
      insert: [],
      move: [{ id: row.id, plannedFor: NOW, why: { by: "forecast" } }],
      cancel: [],
    });
  });

  it("keeps one at most per key", () => {
    expect(comparePlans([], [wanted(), wanted({ plannedFor: NOW + DAY })]).insert).toHaveLength(1);
  });
});

describe("a planned reminder is cancelled", () => {
  it("when the work is logged and the occurrence with it over, even with nothing new in sight", () => {
    const next = wanted({ occurrence: "mark:12000" });
    const cancel = [{ id: row.id, why: "occurrenceOver" }];
    expect(comparePlans([row], [next]).cancel).toEqual(cancel);
    expect(comparePlans([row], [], new Map([["t", "mark:12000"]])).cancel).toEqual(cancel);
    expect(comparePlans([row], [], new Map([["t", null]])).cancel).toEqual(cancel);
  });

  it("when the next stage speaks instead, the point is revised, or nothing asks for it", () => {
    const why = (one: Wanted[]) => comparePlans([row], one).cancel[0]?.why;
    expect(why([wanted({ stage: "due" })])).toBe("overtaken");
    expect(why([wanted({ revision: 1 })])).toBe("revised");
    expect(why([])).toBe("notWanted");
    expect(why([wanted({ taskId: "another" })])).toBe("notWanted");
  });
});

describe("the key of a reminder", () => {
  it("differs wherever member, task, occurrence, revision or stage differ", () => {
    const keys = [
      wanted(),
      wanted({ memberId: "n" }),
      wanted({ taskId: "u" }),
      wanted({ occurrence: "mark:12000" }),
      wanted({ revision: 1 }),
      wanted({ stage: "due" }),
    ].map(reminderKey);
    expect(new Set(keys).size).toBe(keys.length);
  });

  it("tells the asks about two machines of one member apart", () => {
    const ask = { taskId: null, stage: "ask", occurrence: "ask:1" } as const;
    const [one, other] = ["v1", "v2"].map((vehicleId) =>
      reminderKey(wanted({ ...ask, vehicleId })),
    );
    expect(one).not.toBe(other);
  });
});
