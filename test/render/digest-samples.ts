import type {
  DigestItemView,
  DigestMachineView,
  DigestMailView,
} from "../../src/application/digest-view.ts";
import { valveClearance } from "./samples.ts";

/** Digests of an invented co-operative; every figure is an example. */

const none = { items: [], count: 0 };

export const oilChange: DigestItemView = {
  title: "Engine oil",
  stage: "ahead",
  byRule: "distance",
  due: { distance: 6000 },
  likely: { from: "2026-05-06", to: "2026-05-14", most: "2026-05-08" },
  distanceLeft: 212.4,
  cautions: ["Hot oil burns: let the engine cool for ten minutes."],
  links: { logWork: "https://api.example.org/links/log" },
};

const brakeFluid: DigestItemView = {
  title: "Brake fluid",
  stage: "overdue",
  byRule: "date",
  due: { date: "2026-02-01" },
  likely: { from: "2026-02-01", to: "2026-02-01", most: "2026-02-01" },
  reachedBy: "calendar",
  cautions: ["Brake fluid eats paint. Test the brakes before riding."],
  links: { logWork: "https://api.example.org/links/log2" },
};

const chain: DigestItemView = {
  ...oilChange,
  title: "Drive chain",
  stage: "due",
  reachedBy: "forecast",
  due: { distance: 24000 },
  distanceLeft: -102.7,
  likely: { from: "2026-04-12", to: "2026-05-09", most: "2026-04-28" },
  cautions: ["Engine off: never turn the wheel by the engine with fingers near the chain."],
};

export const tourer: DigestMachineView = {
  name: "Twin 650 tourer",
  group: "Harbour co-op 02",
  meterUnit: "mi",
  keeper: "Maren Holt",
  laidUp: false,
  jobs: { items: [brakeFluid, chain], count: 2 },
};

const single: DigestMachineView = {
  name: "Single 150",
  group: "Harbour co-op 04",
  meterUnit: "km",
  laidUp: false,
  jobs: { items: [oilChange, { ...oilChange, title: valveClearance.title }], count: 2 },
};

export const weekly: DigestMailView = {
  locale: "en",
  zone: "Europe/Dublin",
  member: { name: "Robin" },
  accountName: "Harbour co-op",
  today: "2026-05-04",
  links: {
    unsubscribePage: "https://api.example.org/links/leave",
    unsubscribeOneClick: "https://api.example.org/links/leave",
  },
  pace: "weekly",
  span: { from: "2026-05-04", to: "2026-05-10" },
  overdue: 1,
  due: 3,
  machines: { items: [tourer, single], count: 2 },
  others: { machines: 214, clearUntil: "2026-05-13" },
  next: { to: "2026-05-17", jobs: 4, machines: 3 },
  unforeseen: 2,
  held: {
    items: [
      { machine: "Trail 250", value: 52100, unit: "km", on: "2026-05-02", likelierValue: 5210 },
      { machine: "Step-through 110", value: 88, unit: "h", on: "2026-05-03" },
    ],
    count: 3,
  },
  silent: {
    items: [
      {
        machine: "Step-through 110 number 7",
        links: { postReading: "https://api.example.org/links/post1" },
      },
      {
        machine: "Trail 250 number 3",
        last: { value: 4821.3, unit: "km", on: "2025-11-30" },
        links: { postReading: "https://api.example.org/links/post2" },
      },
    ],
    count: 2,
  },
  since: "2026-04-27",
  work: {
    items: [
      { machine: "Single 150", titles: ["Spark plug", "Air filter"], on: "2026-04-29" },
      { machine: "Trail 250", titles: [], on: "2026-04-28" },
    ],
    count: 14,
  },
  undelivered: {
    items: [{ member: "Kim Vale", answer: "552 5.2.2 mailbox full" }],
    count: 1,
  },
  refused: { items: [{ member: "Sam Reed", answer: "550 5.1.1 no such user here" }], count: 1 },
  failedDeliveries: 2,
};

export const monthly: DigestMailView = {
  ...weekly,
  pace: "monthly",
  today: "2026-05-01",
  span: { from: "2026-05-01", to: "2026-05-31" },
  overdue: 0,
  due: 1,
  machines: {
    items: [{ ...single, laidUp: true, jobs: { items: [oilChange], count: 1 } }],
    count: 1,
  },
  others: { machines: 1, clearUntil: null },
  next: { to: "2026-06-30", jobs: 1, machines: 1 },
  unforeseen: 1,
  ...{ held: none, work: none, refused: none, failedDeliveries: 1 },
  silent: { ...weekly.silent, items: weekly.silent.items.slice(0, 1), count: 1 },
};

/** Nothing due: only what follows, and work that was done. */
export const calm: DigestMailView = {
  ...weekly,
  overdue: 0,
  due: 0,
  machines: none,
  unforeseen: 0,
  ...{ held: none, silent: none, undelivered: none, refused: none, failedDeliveries: 0 },
};

/** A fleet of 300 of which more is due than a mail can hold. */
export const fleet: DigestMailView = {
  ...weekly,
  overdue: 40,
  due: 90,
  machines: {
    items: Array.from({ length: 30 }, (_, index) => ({
      ...tourer,
      name: `Step-through 110 number ${index + 1}`,
      jobs: { items: [brakeFluid, chain, oilChange], count: 3 },
    })),
    count: 40,
  },
  others: { machines: 260, clearUntil: "2026-05-13" },
};
