import { createHash } from "node:crypto";
import { HtmlValidate } from "html-validate";
import { describe, expect, test } from "vitest";
import { mailRenderer } from "../../src/render/mail/renderer.ts";
import { renderDeferPage } from "../../src/render/pages/defer-page.ts";
import { PAGE_STYLE_HASH } from "../../src/render/pages/layout.ts";
import { hostilePages, pages } from "./pages-shown.ts";
import {
  askOnly,
  confirmNotice,
  fleet,
  formFrame,
  manyJobs,
  oneJob,
  valveClearance,
} from "./samples.ts";

const validator = new HtmlValidate({
  extends: ["html-validate:standard"],
  rules: {
    // Mail programs need styles inline; pages have none.
    "no-inline-style": "off",
    "long-title": "off",
  },
});
const pageValidator = new HtmlValidate({
  extends: ["html-validate:standard"],
  rules: { "no-inline-style": "error", "long-title": "off" },
});

async function faultsOf(html: string, by: HtmlValidate): Promise<string[]> {
  const report = await by.validateString(html);
  return report.results.flatMap(({ messages }) =>
    messages.map(({ ruleId, message, line }) => `${line}: ${ruleId}: ${message}`),
  );
}

describe("every page", () => {
  test.each(Object.entries(pages))("%s is sound HTML with no style of its own", async (_, html) => {
    expect(await faultsOf(html, pageValidator)).toEqual([]);
    expect(html).not.toMatch(/ style=/);
  });

  test.each(Object.entries(hostilePages))(
    "%s shows hostile texts and never acts on them",
    (name, html) => {
      expect(html).not.toMatch(/<script|<img|onerror=alert\(\d\)>(?!.*&gt;)/i);
      if (!/fault|expired|linkMailed/.test(name)) expect(html).toContain("&lt;script&gt;");
    },
  );

  test.each(Object.entries(pages))("%s works without script, image or another host", (_, html) => {
    expect(html).not.toMatch(/<script|<img|<link|@import|url\(http/i);
  });

  test("the policy names the one style sheet by its hash", () => {
    for (const html of Object.values(pages)) {
      const style = /<style>([\s\S]*?)<\/style>/.exec(html)?.[1] ?? "";
      expect(`sha256-${createHash("sha256").update(style).digest("base64")}`).toBe(PAGE_STYLE_HASH);
    }
  });
});

describe("a form", () => {
  const forms = Object.entries(pages).filter(([, html]) => html.includes("<form"));

  test.each(forms)("%s posts to its own path with its nonce", (_, html) => {
    expect(html).toContain('<form method="post" action="/links/abc"');
    expect(html).toContain('<input type="hidden" name="nonce" value="n-123">');
    expect(html.match(/<button/g)).toHaveLength(1);
  });

  test("keeps what was typed, and says below the field what would be right", () => {
    const html = pages["post a reading, with faults"] ?? "";
    expect(html).toMatch(
      /name="value"[^>]*value="5x"[^>]*aria-describedby="f-value-fault"[^>]*aria-invalid="true"/,
    );
    expect(html).toContain(
      "Please write a number without a thousands separator, such as 5210 or 0.13.",
    );
    expect(html).toContain("2 fields need another look");
  });

  test("keeps an adjusted point open, and a look that was chosen", () => {
    const html = pages["log the work, with faults"] ?? "";
    expect(html).toMatch(/<details open>/);
    expect(html).toContain('value="0.10"');
    expect(html).toMatch(/name="found\.3\.look" value="watch" checked/);
    expect(html).not.toMatch(/name="found\.3\.look" value="" checked/);
  });

  test("asks at each point for what its way of measuring gives", () => {
    const html = pages["log the work"] ?? "";
    for (const name of [
      "found.0.goes",
      "found.0.refuses",
      "left.0.goes",
      "found.2.value",
      "found.3.look",
      "found.0.stated",
      "note.0",
    ]) {
      expect(html).toContain(`name="${name}"`);
    }
    expect(html).not.toContain('name="found.0.value"');
    expect(html).not.toContain('name="found.3.stated"');
    expect(html).toContain("Limits: 0.08 to 0.13 mm. Leaves to try: 0.13, then 0.08.");
  });

  test("shows the cautions of a task before its fields", () => {
    for (const name of ["log the work", "defer"]) {
      const html = pages[name] ?? "";
      expect(html.indexOf("Cold engine only")).toBeGreaterThan(0);
      expect(html.indexOf("Cold engine only")).toBeLessThan(html.indexOf("<form"));
    }
  });
});

describe("what a page tells", () => {
  test("a held reading: kept, why, and what is likelier", () => {
    const html = pages["done readingHeld"] ?? "";
    expect(html).toContain("6,120 km does not fit what is known of this machine.");
    expect(html).toContain("No such machine runs so far in that time.");
    expect(html).toContain("a digit was typed twice. <strong>Likelier: 612 km.</strong>");
    expect(html).toContain("the reading before this one");
    expect(html).toContain("Likelier there: 380 mi.");
  });

  test("logged work: verdicts, the leaf that settles one, the window, what comes next with cautions", () => {
    const html = pages["done workLogged"] ?? "";
    expect(html).toContain("undetermined; settled by the leaf 0.13");
    expect(html).toContain("tight → in spec");
    expect(html).toContain("0.05 goes, 0.08 refuses → 0.10 goes, 0.13 refuses");
    expect(html).toContain("0.08 to 0.13 mm");
    expect(html).toContain("Outside the permitted window");
    expect(html).toContain("Between October 2026 and March 2027, most likely December 2026.");
    expect(html).toContain("Cold engine only.");
  });

  test("a machine that must not be ridden, before all else", () => {
    const html = pages["post a reading, with faults"] ?? "";
    expect(html.indexOf("Front brake leaks")).toBeLessThan(html.indexOf("<h1"));
  });

  test("a fault: that nothing was changed, or counted twice", () => {
    for (const code of ["badLink", "notFound", "alreadyCounted", "tooMany", "ours"]) {
      expect(pages[`fault ${code}`]).toMatch(/Nothing was (changed|counted twice)/);
    }
  });

  test("the time scale says in words what it draws", () => {
    const html = renderDeferPage({ ...formFrame, item: valveClearance });
    expect(html).toContain('role="img" aria-label="Between 12 and 30 May, most likely 20 May."');
  });

  test("a reached due point has no scale that would promise a day", () => {
    const item = { ...valveClearance, stage: "due", reachedBy: "reading" } as const;
    expect(renderDeferPage({ ...formFrame, item })).not.toContain("<svg");
  });
});

describe("every mail", () => {
  const thread = { taskIds: ["t"], domain: "example.org" };
  const mails = {
    one: mailRenderer.reminder(oneJob, thread, 0),
    many: mailRenderer.reminder(manyJobs, thread, 0),
    ask: mailRenderer.reminder(askOnly, thread, 0),
    fleet: mailRenderer.reminder(fleet, thread, 0),
    notice: mailRenderer.notice(confirmNotice),
  };

  test.each(Object.entries(mails))("%s is sound HTML", async (_, { html }) => {
    expect(await faultsOf(html, validator)).toEqual([]);
  });
});
