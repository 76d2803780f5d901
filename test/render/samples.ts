import type { ServiceHistoryView } from "../../src/application/history-views.ts";
import type { LogWorkPageView } from "../../src/application/page-views.ts";
import type {
  MachineView,
  NoticeMailView,
  ReminderItemView,
  ReminderMachineView,
  ReminderMailView,
} from "../../src/application/views.ts";

/** Invented machines of an invented co-operative; every figure is an example. */

const TODAY = "2026-04-12";

export const single150: MachineView = {
  name: "Single 150",
  group: "Harbour co-op 04",
  meterUnit: "km",
};

export const valveClearance: ReminderItemView = {
  taskId: "01971f3e-0000-7000-8000-000000000001",
  occurrence: "start",
  revision: 0,
  stage: "ahead",
  title: "Valve clearance",
  byRule: "distance",
  due: { distance: 1000, date: "2026-07-01" },
  likely: {
    from: "2026-05-12",
    to: "2026-05-30",
    most: "2026-05-20",
    innerFrom: "2026-05-16",
    innerTo: "2026-05-25",
  },
  distanceLeft: 439.6,
  window: { distance: { from: 900, to: 1100 }, date: { from: "2026-06-22", to: "2026-07-10" } },
  why: [{ code: "interval", distance: 1000, months: 3, whichever: "first", first: true }],
  minutes: 50,
  access: ["Seat", "Tank"],
  steps: [
    "Turn the engine by hand to top dead centre of the compression stroke.",
    "Measure each valve.",
  ],
  tools: ["Feeler leaves", "10 mm spanner"],
  parts: [{ name: "Cover gasket", quantity: "1" }],
  points: [
    {
      name: "Inlet, left",
      unit: "mm",
      lower: 0.08,
      upper: 0.13,
      method: "feeler",
      leavesToTry: [0.13, 0.08],
    },
    {
      name: "Exhaust, left",
      unit: "mm",
      lower: 0.13,
      upper: 0.18,
      method: "feeler",
      leavesToTry: [0.18, 0.13],
    },
  ],
  cautions: ["Cold engine only. Fuel tap off, key out.", "Turn the engine by hand."],
  closingChecks: ["Fuel hose clipped", "Nothing left over"],
  links: {
    logWork: "https://api.example.org/links/log",
    defer: "https://api.example.org/links/defer",
  },
};

const brakeFluid: ReminderItemView = {
  taskId: "01971f3e-0000-7000-8000-000000000002",
  occurrence: "work:01971f3e-0000-7000-8000-0000000000aa",
  revision: 1,
  stage: "overdue",
  title: "Brake fluid",
  byRule: "date",
  due: { date: "2026-02-01" },
  likely: { from: "2026-02-01", to: "2026-02-01", most: "2026-02-01" },
  reachedBy: "calendar",
  window: { date: { from: "2025-11-20", to: "2026-04-10" } },
  why: [
    { code: "interval", months: 24, whichever: "first" },
    { code: "lastWork", on: "2024-02-01", distance: 12400 },
  ],
  fluids: [{ name: "Brake fluid", grade: "as the handbook says", quantity: "100 ml" }],
  cautions: ["Brake fluid eats paint. Pump the lever and test the brakes before riding."],
  links: {
    logWork: "https://api.example.org/links/log2",
    defer: "https://api.example.org/links/defer2",
  },
};

export const machine150: ReminderMachineView = {
  ...single150,
  meterToday: { p10: 520, p50: 560.4, p90: 610 },
  laidUp: false,
  asks: false,
  items: [valveClearance],
  links: {
    postReading: "https://api.example.org/links/post",
    layUp: "https://api.example.org/links/lay-up",
  },
};

const tourer: ReminderMachineView = {
  name: "Twin 650 tourer",
  group: "Harbour co-op 02",
  meterUnit: "mi",
  meterToday: { p10: 23980, p50: 24102.7, p90: 24390 },
  laidUp: false,
  asks: true,
  lastReading: { value: 23870, on: "2026-02-20" },
  doNotRide: ["Rear tyre: cord to be seen"],
  items: [
    brakeFluid,
    {
      ...valveClearance,
      taskId: "01971f3e-0000-7000-8000-000000000003",
      title: "Drive chain",
      byRule: "distance",
      stage: "due",
      reachedBy: "forecast",
      due: { distance: 24000 },
      distanceLeft: -102.7,
      likely: { from: "2026-03-20", to: "2026-04-24", most: "2026-04-06" },
      why: [{ code: "severe", factor: 0.5, reason: "water" }],
      points: [
        { name: "Chain slack", unit: "mm", lower: 25, upper: 35, method: "value" },
        { name: "Sprockets", method: "look" },
      ],
      cautions: ["Engine off: never turn the wheel by the engine with fingers near the chain."],
    },
  ],
  links: {
    postReading: "https://api.example.org/links/post2",
    layUp: "https://api.example.org/links/lay-up2",
  },
};

const mailFrame = {
  locale: "en",
  zone: "Europe/Dublin",
  member: { name: "Maren Holt" },
  accountName: "Harbour co-op",
  today: TODAY,
  links: {
    unsubscribePage: "https://api.example.org/links/leave",
    unsubscribeOneClick: "https://api.example.org/links/leave",
  },
};

export const oneJob: ReminderMailView = { ...mailFrame, machines: [machine150] };

export const manyJobs: ReminderMailView = {
  ...mailFrame,
  machines: [tourer, { ...machine150, laidUp: true }],
};

export const askOnly: ReminderMailView = {
  ...mailFrame,
  machines: [
    {
      ...machine150,
      asks: true,
      items: [],
      lastReading: { value: 512.3, on: "2026-03-20" },
    },
  ],
};

/** Spring: a lay-up runs whose end nobody told. */
export const askAfterLayUp: ReminderMailView = {
  ...mailFrame,
  machines: [{ ...machine150, laidUp: true, asks: true, asksAfterLayUp: true, items: [] }],
};

/** A fleet's mail that would be far too long if everything stood in it. */
export const fleet: ReminderMailView = {
  ...mailFrame,
  machines: Array.from({ length: 60 }, (_, index) => ({
    ...machine150,
    name: `Step-through 110 number ${index + 1}`,
    items: [valveClearance, brakeFluid].map((item) => ({
      ...item,
      taskId: `${item.taskId}-${index}`,
    })),
  })),
};

export const confirmNotice: NoticeMailView = {
  ...mailFrame,
  notice: { code: "confirmAddress", link: "https://api.example.org/links/confirm" },
};

export const refusedNotice: NoticeMailView = {
  ...mailFrame,
  notice: {
    code: "addressRefused",
    name: "Robin",
    address: "robin@example.org",
    answer: "550 5.1.1 No such mailbox here",
  },
};

export const formFrame = {
  locale: "en",
  accountName: "Harbour co-op",
  machine: single150,
  action: "/links/abc",
  nonce: "n-123",
  today: TODAY,
};

export const logWorkView: LogWorkPageView = {
  ...formFrame,
  meterToday: { p10: 520, p50: 560.4, p90: 610 },
  job: {
    title: "Valve clearance",
    cautions: valveClearance.cautions ?? [],
    closingChecks: valveClearance.closingChecks ?? [],
    points: [
      ...(valveClearance.points ?? []).map((point, index) => ({ ...point, key: String(index) })),
      { name: "Chain slack", unit: "mm", lower: 25, upper: 35, method: "value", key: "2" },
      { name: "Rubber mounts", method: "look", key: "3" },
    ],
  },
};

export const history: ServiceHistoryView = {
  locale: "en",
  accountName: "Harbour co-op",
  printedOn: "2026-06-01",
  machine: { ...single150, modelYear: 2026, frameNumber: "EXAMPLE0001", inServiceOn: "2026-04-01" },
  records: [
    {
      id: "w1",
      doneOn: "2026-05-20",
      reading: 1012,
      titles: ["Valve clearance", "Engine oil"],
      by: { name: "Maren Holt", trade: "owner" },
      window: "within",
      status: "amended",
      reason: "The oil filter was forgotten.",
      revisions: [
        {
          on: "2026-05-21",
          what: "amended",
          reason: "The oil filter was forgotten.",
          before: { doneOn: "2026-05-19", reading: 1010.4, notes: "Oil changed." },
        },
      ],
      findings: [
        {
          point: { name: "Inlet, left", unit: "mm", lower: 0.08, upper: 0.13, method: "feeler" },
          asFound: { goes: 0.1, refuses: 0.13 },
          verdict: "inSpec",
          condition: { cold: true, engineTemperature: 21.5 },
        },
        {
          point: { name: "Exhaust, left", unit: "mm", lower: 0.13, upper: 0.18, method: "feeler" },
          asFound: { goes: 0.1, refuses: 0.13 },
          verdict: "tight",
          asLeft: { goes: 0.15, refuses: 0.18 },
          verdictLeft: "inSpec",
          note: "Set again after tightening.",
        },
      ],
      parts: [{ name: "Oil filter", quantity: "1" }],
      minutes: 65,
      cost: { amount: "12.50", currency: "EUR" },
      cautions: ["Cold engine only."],
    },
    {
      id: "w2",
      doneOn: "2026-05-28",
      titles: ["Drive chain"],
      by: { name: "Quay workshop", trade: "workshop" },
      window: null,
      status: "void",
      reason: "Logged for the wrong machine.",
      findings: [],
      parts: [],
    },
  ],
};
