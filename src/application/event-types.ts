/** One type of event: what it tells, and an example of its data. */
export interface EventType {
  readonly tells: string;
  readonly data: Readonly<Record<string, unknown>>;
}

const LIKELY = { from: "2026-05-12", most: "2026-05-20", to: "2026-05-30" };
const OF_TASK = {
  taskId: "01993b21-5e6f-7d42-8b7f-8b3f5c9dae12",
  title: "Valve clearance",
  occurrence: "work:01993b1f-6f2f-7a51-b0f4-3f3d5c1d2a10",
  due: { distance: 6000 },
  likely: LIKELY,
};
const OF_REMINDER = {
  messageId: "01993b1f-6f2f-7a51-b0f4-3f3d5c1d2a10",
  stage: "ahead",
  taskId: OF_TASK.taskId,
};

/** Every type of event in the log, and so of webhook. A test holds it equal to what the code writes. */
export const EVENT_TYPES = {
  "account.changed": { tells: "The account was changed.", data: {} },
  "calendarFeed.added": { tells: "A calendar was made.", data: {} },
  "calendarFeed.changed": { tells: "A calendar was renamed.", data: {} },
  "calendarFeed.rotated": { tells: "A calendar has a new address.", data: {} },
  "calendarFeed.removed": { tells: "A calendar was removed.", data: {} },
  "forecast.changed": {
    tells:
      "The likely day of a task moved by more than a tenth of the time left; before is what was told last.",
    data: { ...OF_TASK, before: { most: "2026-06-02" } },
  },
  "key.added": { tells: "An API key was made.", data: {} },
  "key.rotated": { tells: "An API key was rotated.", data: {} },
  "key.revoked": { tells: "An API key was revoked.", data: {} },
  "member.added": { tells: "A member was added.", data: {} },
  "member.changed": { tells: "A member was changed.", data: {} },
  "member.removed": { tells: "A member was removed.", data: {} },
  "reading.recorded": {
    tells: "A reading was accepted.",
    data: { value: 5210, unit: "km" },
  },
  "reading.held": {
    tells: "A reading waits for a look: it does not fit what is known.",
    data: { value: 52_100, unit: "km" },
  },
  "reading.corrected": {
    tells: "A reading was put right by another, or confirmed as it is (confirmed in its data).",
    data: { replacedBy: "01993b1f-6f2f-7a51-b0f4-3f3d5c1d2a10" },
  },
  "readings.imported": {
    tells:
      "An import brought readings of a vehicle: how many count and how many wait for a look, and the instants of the first and the last. No event of each is told; resourceId is the import's.",
    data: {
      recorded: 12,
      held: 1,
      from: "2026-04-02T06:00:00.000Z",
      to: "2026-04-30T18:00:00.000Z",
    },
  },
  "reminder.sent": { tells: "The mail server took the mail of a reminder.", data: OF_REMINDER },
  "reminder.failed": { tells: "The mail of a reminder was given up.", data: OF_REMINDER },
  "schedule.changed": {
    tells:
      "A task of a vehicle was added, changed or removed; with a scheduleId, a shared schedule was, or was put on the vehicle.",
    data: { taskId: OF_TASK.taskId },
  },
  "task.ahead": {
    tells: "A task comes due within its lead, with or without a recipient of a reminder.",
    data: { ...OF_TASK, by: "forecast" },
  },
  "task.due": { tells: "A task has come due.", data: { ...OF_TASK, by: "reading" } },
  "task.overdue": {
    tells: "A task has passed its permitted window.",
    data: { ...OF_TASK, by: "calendar" },
  },
  "vehicle.changed": {
    tells:
      "A vehicle was changed or, where data says so, added or removed; or a lay-up or a meter change of it was, which data names by layUpId or meterChangeId.",
    data: { added: true },
  },
  "webhook.test": {
    tells: "Sent on request to try an endpoint; it stands in no log.",
    data: { endpointId: "01993b1f-6f2f-7a51-b0f4-3f3d5c1d2a10" },
  },
  "webhookEndpoint.added": { tells: "A webhook endpoint was added.", data: {} },
  "webhookEndpoint.changed": {
    tells: "A webhook endpoint was changed, or disabled because it answered 410 (disabledWhy).",
    data: {},
  },
  "webhookEndpoint.removed": { tells: "A webhook endpoint was removed.", data: {} },
  "work.logged": { tells: "Work was logged.", data: { taskIds: [OF_TASK.taskId] } },
  "work.amended": {
    tells: "A work record was amended; what stood before is kept in it.",
    data: { reason: "A day off." },
  },
  "work.void": { tells: "A work record was voided.", data: { reason: "Another machine." } },
} as const satisfies Record<string, EventType>;

export type EventTypeName = keyof typeof EVENT_TYPES;
