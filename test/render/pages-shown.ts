import type { DonePageView } from "../../src/application/page-views.ts";
import { renderConfirmAddressPage } from "../../src/render/pages/confirm-address-page.ts";
import { renderDeferPage } from "../../src/render/pages/defer-page.ts";
import { renderDonePage } from "../../src/render/pages/done-page.ts";
import { renderExpiredPage } from "../../src/render/pages/expired-page.ts";
import { renderFaultPage } from "../../src/render/pages/fault-page.ts";
import { renderLayUpPage } from "../../src/render/pages/lay-up-page.ts";
import { renderLogWorkPage } from "../../src/render/pages/log-work-page.ts";
import { renderPostReadingPage } from "../../src/render/pages/post-reading-page.ts";
import { renderUnsubscribePage } from "../../src/render/pages/unsubscribe-page.ts";
import { renderServiceHistory } from "../../src/render/service-history.ts";
import { hostileCopy } from "./hostile.ts";
import { formFrame, history, logWorkView, single150, valveClearance } from "./samples.ts";

const meterToday = { p10: 520, p50: 560.4, p90: 610 };
const email = "maren@example.org";

const next = [
  {
    title: "Valve clearance",
    distance: 6000,
    cautions: ["Cold engine only."],
    likely: { from: "2026-10-12", to: "2027-03-30", most: "2026-12-20" },
  },
  { title: "Brake fluid", reached: true },
];

const dones: Record<DonePageView["done"]["code"], DonePageView["done"]> = {
  readingAccepted: { code: "readingAccepted", value: 612.4, unit: "km", next },
  readingHeld: {
    code: "readingHeld",
    value: 6120,
    unit: "km",
    reasons: [
      { code: "tooFast" },
      { code: "digitDoubled", likelierValue: 612 },
      { code: "earlierIsTheSlip", likelierValue: 380, likelierUnit: "mi" },
    ],
  },
  workLogged: {
    code: "workLogged",
    title: "Valve clearance",
    window: "outside",
    findings: [
      {
        point: { name: "Inlet, left", unit: "mm", lower: 0.08, upper: 0.13, method: "feeler" },
        asFound: { goes: 0.05, refuses: 0.08 },
        verdict: "tight",
        asLeft: { goes: 0.1, refuses: 0.13 },
        verdictLeft: "inSpec",
      },
      {
        point: { name: "Exhaust, left", unit: "mm", lower: 0.13, upper: 0.18, method: "feeler" },
        asFound: { goes: 0.1, refuses: 0.15 },
        verdict: "undetermined",
        tryLeaf: 0.13,
      },
      {
        point: { name: "Rubber mounts", method: "look" },
        asFound: { look: "watch" },
        verdict: "watch",
      },
    ],
    next,
  },
  deferred: { code: "deferred", title: "Valve clearance", untilOn: "2026-06-01" },
  layUpStarted: { code: "layUpStarted", from: "2026-10-20", to: "2027-03-15" },
  layUpEnded: { code: "layUpEnded", to: "2026-04-02" },
  unsubscribed: { code: "unsubscribed", email },
  addressConfirmed: { code: "addressConfirmed", email },
  linkMailed: { code: "linkMailed" },
};

/** Pages that lead on to posting a reading. */
const asks = new Set(["readingHeld", "layUpEnded"]);

/** Every page that a link opens, and the printed history, from the views that a copier hands on. */
function shown(copy: <T>(view: T) => T): Record<string, string> {
  const frame = copy(formFrame);
  const done = Object.entries(dones).map(([code, one]) => [
    `done ${code}`,
    renderDonePage({
      ...frame,
      done: copy(one),
      ...(asks.has(code) && { links: { postReading: "https://api.example.org/x" } }),
    }),
  ]);
  const faults = (["badLink", "notFound", "alreadyCounted", "tooMany", "ours"] as const).map(
    (code) => [
      `fault ${code}`,
      renderFaultPage({ ...frame, code, requestId: copy({ id: "r-1" }).id }),
    ],
  );
  return {
    "post a reading": renderPostReadingPage({
      ...frame,
      meterToday,
      lastReading: { value: 512.3, on: "2026-03-20" },
    }),
    "post a reading, with faults": renderPostReadingPage({
      ...frame,
      machine: copy({ ...single150, doNotRide: ["Front brake leaks"] }),
      typed: copy({ value: "5x", on: "2027-01-01" }),
      faults: [
        { field: "value", code: "notNumber" },
        { field: "on", code: "inFuture" },
      ],
    }),
    "log the work": renderLogWorkPage(copy(logWorkView)),
    "log the work, with faults": renderLogWorkPage({
      ...copy(logWorkView),
      typed: { "left.0.goes": "0.13", "left.0.refuses": "0.10", "found.3.look": "watch" },
      faults: [{ field: "left.0.goes", code: "leafOrder" }],
    }),
    defer: renderDeferPage({ ...frame, item: copy(valveClearance) }),
    "start a lay-up, with faults": renderLayUpPage({
      ...frame,
      typed: copy({ from: "2026-10-20", to: "2026-10-01", reason: "Winter" }),
      faults: [{ field: "to", code: "notAfterFrom" }],
    }),
    "end a lay-up": renderLayUpPage({
      ...frame,
      running: copy({ from: "2025-11-02", reason: "Winter" }),
    }),
    unsubscribe: renderUnsubscribePage({ ...frame, email: copy({ email }).email }),
    "confirm the address": renderConfirmAddressPage({ ...frame, email: copy({ email }).email }),
    expired: renderExpiredPage({ ...frame, purpose: "defer" }),
    "service history": renderServiceHistory(copy(history)),
    ...Object.fromEntries([...done, ...faults]),
  };
}

export const pages = shown((view) => view);
/** The same for a reader of another language. */
export const pagesIn = (locale: string) => shown((view) => ({ ...view, locale }));
export const hostilePages = shown((view) => hostileCopy(view));
