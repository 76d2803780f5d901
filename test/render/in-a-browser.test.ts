import { existsSync } from "node:fs";
import axe from "axe-core";
import { type Browser, chromium } from "playwright-core";
import { afterAll, beforeAll, describe, expect, test } from "vitest";
import { renderForecastChart } from "../../src/render/forecast-chart.ts";
import { mailRenderer } from "../../src/render/mail/renderer.ts";
import { riders } from "./chart-samples.ts";
import { pagesIn } from "./pages-shown.ts";
import {
  askAfterLayUp,
  askOnly,
  confirmNotice,
  fleet,
  manyJobs,
  oneJob,
  refusedNotice,
} from "./samples.ts";

const EXECUTABLE = process.env.CHROMIUM ?? "/usr/bin/chromium";
const present = existsSync(EXECUTABLE);
if (!present)
  console.warn(`LEFT OUT: pages and mail in a browser, since there is no ${EXECUTABLE}.`);

const thread = { taskIds: ["t"], domain: "example.org" };

/** Every page and mail, for a reader of the language. */
function shownIn(locale: string): [name: string, html: string][] {
  const reminders = { one: oneJob, many: manyJobs, ask: askOnly, spring: askAfterLayUp, fleet };
  const notices = { link: confirmNotice, refused: refusedNotice };
  return [
    ...Object.entries(pagesIn(locale)),
    ...Object.entries(reminders).map(([name, view]): [string, string] => [
      `mail: ${name}`,
      mailRenderer.reminder({ ...view, locale }, thread, 0).html,
    ]),
    ...Object.entries(notices).map(([name, view]): [string, string] => [
      `notice: ${name}`,
      mailRenderer.notice({ ...view, locale }).html,
    ]),
  ];
}

const LANGUAGES = ["en", "de", "es", "fr"];

/** Languages write longer words and dates than English; es-MX the longest dates, es-AR the oddest. */
const LOCALES = ["de", "es", "fr", "de-CH", "es-MX", "es-AR", "fr-CA"];
const charts = ["en", ...LOCALES].flatMap((locale) =>
  riders.map((rider) => renderForecastChart({ ...rider, locale })),
);

/** Pairs of labels of a drawing that run into each other. */
const TOUCHING = `(() => {
  const labels = [...document.querySelectorAll("svg text")].filter((one) => one.textContent);
  const boxes = labels.map((one) => [one.textContent, one.getBoundingClientRect()]);
  return boxes.flatMap(([name, a], index) => boxes.slice(index + 1)
    .filter(([, b]) => a.left < b.right && b.left < a.right && a.top + 3 < b.bottom && b.top + 3 < a.bottom)
    .map(([other]) => name + " | " + other));
})()`;

/** What reaches into the 16 px that stay free at the right of a page or mail. */
const IN_THE_MARGIN = `[...document.querySelectorAll("main *")]
  .filter((one) => !one.closest("svg") && one.checkVisibility())
  .filter((one) => one.getBoundingClientRect().right > 360 - 16 + 0.5)
  .map((one) => one.outerHTML.slice(0, 120))`;

/** An expression for what is wrong with the page by the rules named, or by all. */
function faultsOf(...rules: string[]): string {
  const options = rules.length > 0 ? { runOnly: rules } : {};
  return `axe.run(${JSON.stringify(options)}).then(({ violations }) => violations.flatMap(({ id, nodes }) => nodes.map(({ html }) => id + ': ' + html)))`;
}

describe.skipIf(!present)("in a browser 360 px wide", { timeout: 120_000 }, () => {
  let browser: Browser;
  beforeAll(async () => {
    browser = await chromium.launch({
      executablePath: EXECUTABLE,
      args: ["--no-sandbox", "--disable-gpu", "--disable-quic", "--disable-background-networking"],
    });
  });
  afterAll(() => browser.close());

  test.each(LANGUAGES)(
    "every page and mail is accessible, light and dark, in %s",
    async (locale) => {
      const page = await browser.newPage({ viewport: { width: 360, height: 640 } });
      await page.evaluate(axe.source);
      for (const [name, html] of shownIn(locale)) {
        await page.emulateMedia({ colorScheme: "light" });
        await page.setContent(html);
        expect(await page.evaluate(faultsOf()), name).toEqual([]);
        // What else axe looks at does not depend on the colours.
        await page.emulateMedia({ colorScheme: "dark" });
        expect(await page.evaluate(faultsOf("color-contrast")), `${name}, dark`).toEqual([]);
      }
      await page.close();
    },
  );

  test.each(["en", ...LOCALES])(
    "every page and mail fits, and no drawing's labels touch, in %s",
    async (locale) => {
      const page = await browser.newPage({ viewport: { width: 360, height: 640 } });
      for (const [name, html] of shownIn(locale)) {
        await page.setContent(html);
        const width = await page.evaluate("document.documentElement.scrollWidth");
        expect(width, `${name} is wider than the screen`).toBe(360);
        expect(await page.evaluate(TOUCHING), name).toEqual([]);
        expect(await page.evaluate(IN_THE_MARGIN), name).toEqual([]);
      }
      await page.close();
    },
  );

  test.each(LANGUAGES)("what is pressed is at least 44 px high, in %s", async (locale) => {
    const page = await browser.newPage({ viewport: { width: 360, height: 640 } });
    for (const [name, html] of shownIn(locale)) {
      await page.setContent(html);
      const heights = (await page.evaluate(
        "[...document.querySelectorAll('a.button, a.other, a.action, button, input:not([type=hidden]):not([type=radio]):not([type=checkbox]), select, label.choice, summary')].filter((one) => one.checkVisibility()).map((one) => one.getBoundingClientRect().height)",
      )) as number[];
      for (const height of heights) expect(height, name).toBeGreaterThanOrEqual(44);
    }
    await page.close();
  });

  test("every chart is well-formed XML, and its labels stay inside the drawing and apart", async () => {
    const page = await browser.newPage({ viewport: { width: 360, height: 640 } });
    for (const svg of charts) {
      const fault = await page.evaluate(
        `new DOMParser().parseFromString(${JSON.stringify(svg)}, "image/svg+xml").querySelector("parsererror")?.textContent ?? null`,
      );
      expect(fault).toBeNull();
      await page.setContent(`<!doctype html><style>body{margin:0}</style>${svg}`);
      const outside = await page.evaluate(
        "[...document.querySelectorAll('text')].filter((one) => { const box = one.getBBox(); return box.x < 0 || box.x + box.width > 360; }).map((one) => one.textContent)",
      );
      expect(outside).toEqual([]);
      const touching = await page.evaluate(TOUCHING);
      expect(touching, svg.slice(0, 400)).toEqual([]);
    }
    await page.close();
  });
});
