import { EXAMPLE, exampleStored } from "./examples.ts";

/** Invented figures of an invented machine; the rider's own handbook prevails. */
const examplePoint = {
  name: "Inlet, left, cylinder 1",
  quantity: "clearance",
  unit: "mm",
  lower: 0.08,
  upper: 0.13,
  method: "feeler",
  wear: "down",
  leaves: [0.08, 0.1, 0.13],
} as const;

export const exampleTaskBody = {
  title: "Valve clearance",
  first: { distance: { km: 1000, mi: 600 } },
  every: { distance: { km: 6000, mi: 4000 }, months: 12 },
  tools: ["Feeler leaves 0.08 to 0.13 mm"],
  cautions: [
    "Cold engine only. Fuel tap off, key out. Turn the engine by hand. Your handbook prevails.",
  ],
  points: [examplePoint],
  lastWork: "never",
};

const exampleDue = {
  distance: 1000,
  by: "distance",
  why: { counted: "fromStart", uncounted: [] },
} as const;

const exampleForecast = {
  quantiles: [
    { p: 0.1, on: "2026-05-12" },
    { p: 0.25, on: "2026-05-15" },
    { p: 0.5, on: "2026-05-20" },
    { p: 0.75, on: "2026-05-25" },
    { p: 0.9, on: "2026-05-30" },
  ],
  likely: { from: "2026-05-12", to: "2026-05-30", most: "2026-05-20" },
  withinLead: 0.42,
};

export const exampleNext = {
  taskId: EXAMPLE.taskId,
  title: "Valve clearance",
  state: "ahead",
  due: exampleDue,
  forecast: exampleForecast,
} as const;

export const exampleTask = {
  ...exampleStored,
  vehicleId: EXAMPLE.vehicleId,
  ...{ kind: "recurring", on: null, whichever: "first", repeatFrom: "completion" },
  ...{ countsFrom: "work", severe: null, early: null, late: null, lead: null, paused: false },
  ...{ minutes: null, access: [], steps: [], parts: [], fluids: [], closingChecks: [] },
  ...exampleTaskBody,
  points: [{ ...examplePoint, id: EXAMPLE.id }],
  scheduleId: null,
  state: "ahead",
  due: exampleDue,
  occurrence: "start",
  forecast: exampleForecast,
  permittedWindow: { early: { distance: 900 }, late: { distance: 1100 } },
  warnings: [],
} as const;

export const exampleReading = {
  ...exampleStored,
  vehicleId: EXAMPLE.vehicleId,
  meter: "distance",
  at: EXAMPLE.at,
  value: 560,
  unit: "km",
  total: 560,
  status: "accepted",
  confirmed: false,
  reasons: [],
  source: "rider",
  note: null,
  replacesId: null,
  workRecordId: null,
  externalId: null,
} as const;

export const exampleRecorded = { ...exampleReading, next: [exampleNext] };

export const exampleWorkBody = {
  doneAt: "2026-05-18",
  reading: { value: 1012, unit: "km" },
  taskIds: [EXAMPLE.taskId],
  by: { name: "Robin", trade: "owner" },
  findings: [
    {
      point: "Inlet, left, cylinder 1",
      asFound: { goes: 0.1, refuses: 0.13 },
      condition: { cold: true },
    },
  ],
  notes: "Nothing to adjust.",
};

export const exampleWork = {
  ...exampleStored,
  vehicleId: EXAMPLE.vehicleId,
  enteredAt: EXAMPLE.later,
  doneAt: "2026-05-18T10:00:00.000Z",
  doneOn: "2026-05-18",
  reading: { value: 1012, unit: "km" },
  distance: 1012,
  hours: null,
  taskIds: [EXAMPLE.taskId],
  tasks: [
    { taskId: EXAMPLE.taskId, title: "Valve clearance", occurrence: "start", window: "within" },
  ],
  by: { name: "Robin", trade: "owner" },
  findings: [
    {
      taskId: EXAMPLE.taskId,
      point: { id: EXAMPLE.id, ...examplePoint },
      asFound: { goes: 0.1, refuses: 0.13 },
      verdict: "inSpec",
      why: "The gap lies from 0.1 to below 0.13 mm, inside 0.08 to 0.13 mm.",
      condition: { cold: true },
    },
  ],
  parts: [],
  minutes: null,
  labour: null,
  cost: null,
  notes: "Nothing to adjust.",
  window: "within",
  status: "standing",
  revisions: [],
  externalId: null,
} as const;
