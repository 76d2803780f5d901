import { existsSync } from "node:fs";
import axe from "axe-core";
import { type Browser, chromium } from "playwright-core";
import { afterAll, beforeAll, describe, expect, test } from "vitest";
import { mailRenderer } from "../../src/render/mail/renderer.ts";
import { calm, fleet, monthly, tourer, weekly } from "./digest-samples.ts";

const EXECUTABLE = process.env.CHROMIUM ?? "/usr/bin/chromium";
const present = existsSync(EXECUTABLE);
if (!present) console.warn(`LEFT OUT: digests in a browser, since there is no ${EXECUTABLE}.`);

/** Names without a space, longer than the screen is wide. */
const endless = {
  ...weekly,
  machines: {
    items: [{ ...tourer, name: "W".repeat(60), group: "G".repeat(40), keeper: "K".repeat(60) }],
    count: 1,
  },
  held: { items: [{ ...weekly.held.items[0]!, machine: "M".repeat(60) }], count: 1 },
};
const DIGESTS = { weekly, monthly, calm, fleet, endless };
const thread = { memberId: "m", domain: "example.org" };
const SIGHT = [
  ["en", "light"],
  ["de", "dark"],
  ["es", "light"],
  ["fr", "dark"],
] as const;

describe.skipIf(!present)("a digest in a browser 360 px wide", { timeout: 120_000 }, () => {
  let browser: Browser;
  beforeAll(async () => {
    browser = await chromium.launch({
      executablePath: EXECUTABLE,
      args: ["--no-sandbox", "--disable-gpu", "--disable-quic", "--disable-background-networking"],
    });
  });
  afterAll(() => browser.close());

  test.each(SIGHT)("fits and is accessible in %s, %s", async (locale, colorScheme) => {
    const page = await browser.newPage({ colorScheme, viewport: { width: 360, height: 640 } });
    for (const [name, view] of Object.entries(DIGESTS)) {
      await page.setContent(mailRenderer.digest({ ...view, locale }, thread).html);
      const width = await page.evaluate("document.documentElement.scrollWidth");
      expect(width, `${name} is wider than the screen`).toBe(360);
      await page.evaluate(axe.source);
      const faults = await page.evaluate(
        "axe.run().then(({ violations }) => violations.flatMap(({ id, nodes }) => nodes.map(({ html }) => id + ': ' + html)))",
      );
      expect(faults, name).toEqual([]);
    }
    await page.close();
  });

  test("what is pressed in its lists is at least 44 px high", async () => {
    const page = await browser.newPage({ viewport: { width: 360, height: 640 } });
    await page.setContent(mailRenderer.digest(weekly, thread).html);
    const heights = (await page.evaluate(
      "[...document.querySelectorAll('h3 + p a, td a')].map((one) => one.getBoundingClientRect().height)",
    )) as number[];
    expect(heights).toHaveLength(6);
    for (const height of heights) expect(height).toBeGreaterThanOrEqual(44);
    await page.close();
  });
});
