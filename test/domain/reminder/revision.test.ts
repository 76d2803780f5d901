import { describe, expect, it } from "vitest";
import type { Existing } from "../../../src/domain/reminder/reminder.ts";
import { revisionFor } from "../../../src/domain/reminder/revision.ts";
import { NOW } from "./example-task.ts";

const sent = (changes: Partial<Existing> = {}): Existing => ({
  id: "r",
  memberId: "m",
  vehicleId: "v",
  taskId: "t",
  occurrence: "start",
  revision: 0,
  stage: "ahead",
  plannedFor: NOW,
  status: "sent",
  sentAt: NOW,
  dueAtSending: 1000,
  ...changes,
});

describe("the revision", () => {
  it("is 0 while nothing was sent, however far the point moves", () => {
    const { sentAt: _sentAt, ...planned } = sent({ status: "planned" });
    expect(revisionFor([planned], 5000, 21)).toBe(0);
  });

  it("goes up when the point moves later by more than the lead", () => {
    expect(revisionFor([sent()], 1021, 21)).toBe(0);
    expect(revisionFor([sent()], 1021.5, 21)).toBe(1);
    expect(revisionFor([sent()], null, 21)).toBe(1);
  });

  it("stays when the point moves earlier", () => {
    expect(revisionFor([sent()], 500, 21)).toBe(0);
  });

  it("stays for less than a week, or a short lead would mail with every reading", () => {
    expect(revisionFor([sent()], 1007, 0)).toBe(0);
    expect(revisionFor([sent()], 1008, 0)).toBe(1);
  });

  it("counts from what was sent last, in the highest revision", () => {
    const due = sent({ stage: "due", sentAt: NOW + 1, dueAtSending: 1015 });
    expect(revisionFor([due, sent()], 1030, 21)).toBe(0);
    expect(revisionFor([sent({ revision: 1, dueAtSending: 1200 }), due], 1210, 21)).toBe(1);
  });

  it("stays where it was not known when it would be due", () => {
    const { dueAtSending: _due, ...unknown } = sent();
    expect(revisionFor([unknown], 5000, 21)).toBe(0);
  });

  it("knows that a deferred reminder had been sent", () => {
    expect(revisionFor([sent({ status: "deferred" })], 1100, 21)).toBe(1);
  });
});
