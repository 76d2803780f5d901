import { describe, expect, test } from "vitest";
import type { ReminderItemView, ReminderMailView } from "../../src/application/views.ts";
import { CATALOGUES } from "../../src/content/messages/catalogue.ts";
import { en } from "../../src/content/messages/en.ts";
import { renderForecastChart } from "../../src/render/forecast-chart.ts";
import { mailRenderer } from "../../src/render/mail/renderer.ts";
import { renderDonePage } from "../../src/render/pages/done-page.ts";
import { riders } from "./chart-samples.ts";
import { pagesIn } from "./pages-shown.ts";
import {
  askAfterLayUp,
  askOnly,
  confirmNotice,
  fleet,
  formFrame,
  machine150,
  manyJobs,
  oneJob,
  refusedNotice,
  valveClearance,
} from "./samples.ts";

const thread = { taskIds: ["t"], domain: "example.org" };

/** Every rule, stage, reason and window that an item can have. */
const items: ReminderItemView[] = (["distance", "hours", "date"] as const).flatMap((byRule) =>
  (["ahead", "due", "overdue"] as const).flatMap((stage) =>
    (["calendar", "reading", "forecast"] as const).map((reachedBy) => ({
      ...valveClearance,
      stage,
      byRule,
      ...(stage !== "ahead" && { reachedBy }),
      due: { distance: 1000, hours: 50, date: "2026-07-01" },
      distanceLeft: reachedBy === "reading" ? -12 : 440,
      hoursLeft: reachedBy === "reading" ? -1.5 : 12.5,
      window: {
        distance: { from: 900, to: 1100 },
        hours: { from: 45, to: 55 },
        date: { from: "2026-07-01", to: "2026-07-10" },
      },
      why: [
        { code: "interval", distance: 1000, hours: 50, months: 8, whichever: "first" },
        { code: "interval", months: 1, whichever: "last", hours: 1 },
        { code: "interval", months: 3, whichever: "first", first: true },
        { code: "interval", distance: 1000, whichever: "first" },
        { code: "mark", distance: 6000 },
        { code: "lastWork", on: "2026-03-01", distance: 120 },
        { code: "lastWork", on: "2026-03-01" },
        { code: "lastWork", distance: 120 },
        { code: "severe", factor: 0.5, reason: "water" },
        { code: "wear", point: "Chain slack", distance: 900 },
        { code: "made", on: "2024-02-01" },
      ],
    })),
  ),
);

const everyStage: ReminderMailView = {
  ...oneJob,
  machines: [
    {
      ...machine150,
      asks: true,
      laidUp: true,
      doNotRide: ["Front brake leaks"],
      hoursToday: { p10: 40, p50: 44, p90: 49 },
      lastReading: { value: 512.3, on: "2026-03-01" },
      items,
    },
  ],
};

const LOCALES = ["de", "es", "fr", "de-AT", "de-CH", "es-MX", "es-AR", "fr-CA"];

describe.each(LOCALES)("in %s", (locale) => {
  const mails = {
    "one job": oneJob,
    "many jobs": manyJobs,
    "a question": askOnly,
    "a question in spring": askAfterLayUp,
    "questions for two": {
      ...askOnly,
      machines: [...askOnly.machines, { ...machine150, items: [], asks: true }],
    },
    "a fleet": fleet,
    "every stage and reason": everyStage,
  };
  const notices = [
    confirmNotice.notice,
    { code: "freshLink", purpose: "defer", link: "https://api.example.org/x" },
    refusedNotice.notice,
  ] as const;
  const rendered = {
    ...Object.fromEntries(
      Object.entries(mails).map(([name, view]) => [
        name,
        mailRenderer.reminder({ ...view, locale }, thread, 0),
      ]),
    ),
    ...Object.fromEntries(
      notices.map((notice) => [
        notice.code,
        mailRenderer.notice({ ...confirmNotice, locale, notice }),
      ]),
    ),
  };

  test.each(Object.entries(rendered))("a mail of %s is whole", (_, mail) => {
    expect(mail.html).toContain(`<html lang="${locale.slice(0, 2)}-`);
    for (const text of [mail.subject, mail.text, visible(mail.html)]) expectWhole(text);
    expect(mail.text).not.toMatch(/ {2}|undefined/);
    expect(englishIn(mail.text)).toEqual([]);
    expect(Buffer.byteLength(mail.html)).toBeLessThan(60_000);
  });

  test.each(Object.entries(pagesIn(locale)))("the page %s is whole", (_, html) => {
    expectWhole(visible(html));
    expect(englishIn(visible(html))).toEqual([]);
  });

  test("a deferral until a distance is told", () => {
    const done = { code: "deferred", title: "X", untilDistance: 1234.5 } as const;
    expectWhole(visible(renderDonePage({ ...formFrame, locale, done })));
  });

  test("every chart is whole, in its drawing and in words", () => {
    for (const rider of riders) {
      const svg = renderForecastChart({ ...rider, locale });
      expectWhole(visible(svg));
      expect(englishIn(visible(svg))).toEqual([]);
    }
  });
});

test("French keeps its narrow spaces in mail, and German its comma in figures", () => {
  const french = mailRenderer.reminder({ ...everyStage, locale: "fr" }, thread, 0);
  expect(french.text).not.toMatch(/[^\s\u202f/][;?!]|[ \u00a0][:;?!](?!\/)/u);
  expect(french.text).toContain("Envoyer un relevé\u202f: https://");
  const german = mailRenderer.reminder({ ...everyStage, locale: "de" }, thread, 0);
  expect(german.text).toContain("0,08 bis 0,13\u00a0mm");
  expect(german.text).toContain(
    "Intervall: 1.000\u00a0km oder 50 Stunden oder 8 Monate, je nachdem, was zuerst eintritt.",
  );
  expect(german.text).toContain("auf 50\u00a0% verkürzt");
});

function visible(html: string): string {
  return html
    .replaceAll(/<(style|head)>[\s\S]*?<\/\1>/g, "")
    .replaceAll(/<[^>]*>/g, " ")
    .replaceAll(/&nbsp;/g, " ");
}

function expectWhole(text: string): void {
  expect(text).not.toMatch(/undefined|null|NaN|Invalid Date|[{}]|\[object/);
}

/** Whole English messages that stand in a text of another language. */
function englishIn(text: string): string[] {
  const sentences = Object.values(en).filter((one) => !/[{}]/.test(one) && one.length > 12);
  return sentences.filter((sentence) => text.includes(sentence));
}

test("every language is rendered here", () => {
  const others = [...CATALOGUES.keys()].filter((language) => language !== "en");
  expect(others.every((language) => LOCALES.includes(language))).toBe(true);
});
