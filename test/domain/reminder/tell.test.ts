import { describe, expect, test } from "vitest";
import { type TaskToTell, type Told, tell } from "../../../src/domain/reminder/tell.ts";

const TODAY = 20_000;
const NOW = TODAY * 86_400_000;

function task(changes: Partial<TaskToTell> = {}): TaskToTell {
  const { most = TODAY + 100 } = changes;
  return {
    occurrence: "start",
    stage: null,
    most,
    days: () => ({ from: TODAY + 50, most, to: null, again: null }),
    leadDays: 21,
    today: TODAY,
    now: NOW,
    ...changes,
  };
}

function told(changes: Partial<Told> = {}): Told {
  const days = { from: TODAY + 50, most: TODAY + 100, to: null, again: null };
  const stage = { stage: null, stageDay: null, stageSince: null };
  return { occurrence: "start", ...stage, ...days, sequence: 3, since: NOW - 1, ...changes };
}

describe("what followers are told of a task", () => {
  test("a task that is new is kept in mind without a word", () => {
    const news = tell(null, task());
    expect(news).toMatchObject({ stage: null, moved: false });
    expect(news?.told).toMatchObject({ most: TODAY + 100, sequence: 0, since: NOW });
  });

  test("a new due point replaces the old one, one number higher, and is no move", () => {
    const news = tell(told({ stage: "due", stageDay: TODAY }), task({ occurrence: "work:1" }));
    expect(news).toMatchObject({ stage: null, moved: false });
    expect(news?.told).toMatchObject({ occurrence: "work:1", stage: null, sequence: 4 });
  });

  test("the day has moved when it moves by more than a tenth of the time left", () => {
    expect(tell(told(), task({ most: TODAY + 110 }))).toBeNull();
    expect(tell(told(), task({ most: TODAY + 90 }))).toBeNull();
    const news = tell(told(), task({ most: TODAY + 110.5 }));
    expect(news).toMatchObject({ moved: true, told: { most: TODAY + 110.5, sequence: 4 } });
    expect(tell(told(), task({ most: TODAY + 89 }))?.moved).toBe(true);
  });

  test("a few hours are no move, and days gone by are left alone", () => {
    expect(tell(told({ most: TODAY + 2 }), task({ most: TODAY + 2.9 }))).toBeNull();
    expect(tell(told({ most: TODAY - 5 }), task({ most: TODAY - 9 }))).toBeNull();
  });

  test("a day that the calendar alone tells has moved however much time is left", () => {
    const certain = told({ from: TODAY + 400, most: TODAY + 400, to: TODAY + 400 });
    expect(tell(certain, task({ most: TODAY + 430 }))?.moved).toBe(true);
    expect(tell(certain, task({ most: TODAY + 400.5 }))).toBeNull();
  });

  test("a day that comes into sight or leaves it has moved", () => {
    expect(tell(told({ most: null }), task())?.moved).toBe(true);
    expect(tell(told(), task({ most: null }))?.moved).toBe(true);
    expect(tell(told({ most: null }), task({ most: null }))).toBeNull();
  });

  test("a stage is told once, and only onwards", () => {
    const ahead = tell(told(), task({ stage: "ahead" }));
    expect(ahead).toMatchObject({
      stage: "ahead",
      told: { stage: "ahead", stageDay: TODAY + 100, stageSince: NOW },
    });
    const sofar = told({ stage: "due", stageDay: TODAY + 100, stageSince: NOW - 1 });
    expect(tell(sofar, task({ stage: "due" }))).toBeNull();
    expect(tell(sofar, task({ stage: "ahead" }))).toBeNull();
    expect(tell(sofar, task({ stage: null }))).toBeNull();
    expect(tell(sofar, task({ stage: "overdue" }))?.stage).toBe("overdue");
  });

  test("a stage is told again after the due point moved later by more than the lead", () => {
    const sofar = told({ most: TODAY + 10, stage: "ahead", stageDay: TODAY + 10 });
    const later = tell(sofar, task({ most: TODAY + 60 }));
    expect(later).toMatchObject({ stage: null, moved: true, told: { stage: null } });
    const again = task({ stage: "ahead", most: TODAY + 60, today: TODAY + 45 });
    expect(tell(later?.told ?? null, again)?.stage).toBe("ahead");
    expect(tell(sofar, task({ most: TODAY + 30 }))?.told.stage).toBe("ahead");
  });
});
