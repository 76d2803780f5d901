import { EXAMPLE, exampleStored } from "./examples.ts";

export const exampleReminder = {
  ...exampleStored,
  vehicleId: EXAMPLE.vehicleId,
  taskId: EXAMPLE.taskId,
  memberId: EXAMPLE.memberId,
  occurrence: "start",
  revision: 0,
  stage: "ahead",
  plannedFor: EXAMPLE.later,
  status: "planned",
  why: { by: "forecast", sentence: "By the forecast it is likely enough then." },
  deferredUntilOn: null,
  deferredUntilDistance: null,
  messageId: null,
  sentAt: null,
} as const;

export const exampleMessage = {
  ...exampleStored,
  memberId: EXAMPLE.memberId,
  endpointId: null,
  kind: "reminder",
  subject: "Single 150, number 4: valve clearance comes due",
  status: "sent",
  attempts: 1,
  nextAttemptAt: null,
  lastAnswer: "250 2.0.0 taken",
  messageIdHeader: "<message-01993b1f@example.org>",
  address: "robin@example.org",
  sentAt: EXAMPLE.later,
  reminders: [EXAMPLE.id],
} as const;

export const exampleWholeMessage = {
  ...exampleMessage,
  headers: { "Auto-Submitted": "auto-generated" },
  text: "Single 150, number 4: valve clearance, between 12 and 30 May.",
  html: "<p>Single 150, number 4: valve clearance, between 12 and 30 May.</p>",
  attachments: [],
};

export const exampleEvent = {
  id: EXAMPLE.id,
  type: "reading.recorded",
  vehicleId: EXAMPLE.vehicleId,
  resourceId: EXAMPLE.id,
  data: { value: 560, unit: "km" },
  at: EXAMPLE.at,
} as const;
