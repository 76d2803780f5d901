import { describe, expect, test } from "vitest";
import type { ReminderMailView } from "../../src/application/views.ts";
import { mailRenderer } from "../../src/render/mail/renderer.ts";
import { HOSTILE, hostileCopy } from "./hostile.ts";
import {
  askOnly,
  confirmNotice,
  fleet,
  machine150,
  manyJobs,
  oneJob,
  valveClearance,
} from "./samples.ts";

const NOW = Date.UTC(2026, 3, 12, 7);
const thread = { taskIds: ["t-1", "t-2"], domain: "mail.example.org" };
const render = (view: ReminderMailView) => mailRenderer.reminder(view, thread, NOW);

describe("a reminder of one job", () => {
  const mail = render(oneJob);

  test("the subject says job, machine and range", () => {
    expect(mail.subject).toBe("Valve clearance on Single 150: between 12 and 30 May");
  });

  test("so do the first 90 characters of the text and of the HTML", () => {
    expect(mail.text.slice(0, 90)).toContain("Single 150: Valve clearance, between 12 and 30 May.");
    const body = mail.html.slice(mail.html.indexOf("<body"));
    const visible = body.replaceAll(/<[^>]*>/g, "").trim();
    expect(visible.slice(0, 90)).toContain("Single 150: Valve clearance, between 12 and 30 May.");
  });

  test.each([
    "Between 12 and 30 May, most likely 20 May.",
    "About 440 km left to 1,000 km.",
    "about 560 km, probably between 520 and 610 km",
    "Cold engine only. Fuel tap off, key out.",
    "handbook and local law prevail",
    "0.08 to 0.13 mm",
    "0.13, then 0.08",
    "Feeler leaves",
    "Cover gasket",
    "Counts as on time from 900 km to 1,100 km, 22 June to 10 July 2026.",
    "Run-in service: once, at 1,000 km or 3 months.",
    "Fuel hose clipped",
  ])("text and HTML both say: %s", (what) => {
    expect(mail.text).toContain(what);
    expect(mail.html).toContain(what);
  });

  test("cautions come before the work", () => {
    for (const body of [mail.text, mail.html]) {
      expect(body.indexOf("Cold engine only")).toBeGreaterThan(0);
      expect(body.indexOf("Cold engine only")).toBeLessThan(body.indexOf("Measure each valve"));
    }
  });

  test("each link stands in both", () => {
    const { links } = valveClearance;
    for (const url of [
      links.logWork,
      links.defer,
      machine150.links.postReading,
      oneJob.links.unsubscribePage,
    ]) {
      expect(mail.text).toContain(url);
      expect(mail.html).toContain(`href="${url}"`);
    }
  });

  test("it needs no image, no script and no other host", () => {
    expect(mail.html).not.toMatch(/<img|<script|<link|@import|url\(/i);
    expect(mail.html).toContain('<meta name="color-scheme" content="light dark">');
  });
});

describe("what falls together is one message", () => {
  const mail = render(manyJobs);

  test("with the count in the subject, and how many are past their windows", () => {
    expect(mail.subject).toBe(
      "1 job past its window · 3 jobs on 2 machines, first: due since 1 February",
    );
  });

  test("with each machine and job, and what shows that it is due", () => {
    for (const body of [mail.text, mail.html]) {
      expect(body).toContain("Twin 650 tourer");
      expect(body).toContain("Single 150");
      expect(body).toContain("Brake fluid");
      expect(body).toContain("Due since 1 February.");
      expect(body).toContain("the calendar says so");
      expect(body).toContain("more likely than not, by the forecast");
      expect(body).toContain("About 103 mi past 24,000 mi.");
      expect(body).toContain("Intervals shortened to 50% for severe use: water.");
      expect(body).toContain("This machine is laid up.");
    }
  });

  test("an open defect that forbids riding is said of its machine", () => {
    for (const body of [mail.text, mail.html]) {
      expect(body).toContain(
        "An open defect forbids riding this machine: Rear tyre: cord to be seen.",
      );
    }
  });

  test("a machine without jobs asks for its reading", () => {
    const ask = render(askOnly);
    expect(ask.subject).toBe("Single 150: what does the meter show?");
    expect(ask.text).toContain("Last reading: 512.3 km on 20 March 2026.");
    expect(ask.html).toContain("Post a reading");
    expect(ask.attachments).toEqual([]);
  });

  test("a fleet's mail stays under 60 kB, and says how many jobs it leaves out", () => {
    const long = render(fleet);
    expect(Buffer.byteLength(long.html)).toBeLessThan(60_000);
    expect(long.subject).toContain("120 jobs on 60 machines");
    for (const body of [long.text, long.html]) {
      expect(body).toContain("96 more jobs are due that this mail has no room for.");
      expect(body).toContain("Brake fluid eats paint.");
    }
  });

  test("a mail too long for every machine whose reading is wanted counts those it leaves out", () => {
    const [one] = askOnly.machines;
    const machines = Array.from({ length: 60 }, () => one!);
    const long = render({ ...askOnly, machines });
    expect(Buffer.byteLength(long.html)).toBeLessThan(60_000);
    const shown = long.text.split("== Single 150").length - 1;
    expect(shown).toBeGreaterThan(10);
    for (const body of [long.text, long.html]) {
      expect(body).toContain(
        `Readings of ${60 - shown} more machines are wanted that this mail has no room for.`,
      );
    }
  });

  test("even texts of great length do not burst it", () => {
    const steps = Array.from({ length: 400 }, () =>
      "Do this and that with great care. ".repeat(20),
    );
    const item = { ...valveClearance, steps };
    const long = render({ ...oneJob, machines: [{ ...machine150, items: [item] }] });
    expect(Buffer.byteLength(long.html)).toBeLessThan(60_000);
    expect(long.text).toContain("Cold engine only.");
  });
});

describe("jobs past their windows", () => {
  const [tourer] = manyJobs.machines;
  const [brakeFluid, chain] = tourer!.items;
  const subjectOf = (...items: ReminderMailView["machines"][number]["items"]) =>
    render({ ...manyJobs, machines: [{ ...tourer!, items }] }).subject;
  const past = { ...chain!, stage: "overdue" } as const;

  test("are told apart in the subject from those that are not", () => {
    expect(subjectOf(brakeFluid!)).toBe(
      "Past its window: Brake fluid on Twin 650 tourer: due since 1 February",
    );
    expect(subjectOf(brakeFluid!, past)).toMatch(/^All past their windows: 2 jobs on Twin 650/);
    expect(subjectOf(brakeFluid!, chain!)).toMatch(/^1 job past its window · 2 jobs on Twin 650/);
  });
});

describe("the headers", () => {
  test("say that a machine sent it (RFC 3834), in which language, and that one press leaves (RFC 8058)", () => {
    expect(render(oneJob).headers).toEqual({
      "Auto-Submitted": "auto-generated",
      "Content-Language": "en-GB",
      "List-Unsubscribe": "<https://api.example.org/links/leave>",
      "List-Unsubscribe-Post": "List-Unsubscribe=One-Click",
      References: "<task-t-1@mail.example.org> <task-t-2@mail.example.org>",
    });
  });

  test("nothing stored can begin a header of its own", () => {
    const links = {
      unsubscribePage: "https://api.example.org/x",
      unsubscribeOneClick: "https://api.example.org/x>\r\nBcc: thief@example.org, <y",
    };
    const mail = mailRenderer.reminder(
      { ...hostileCopy(manyJobs), links },
      { taskIds: [HOSTILE], domain: HOSTILE },
      NOW,
    );
    for (const value of [mail.subject, ...Object.values(mail.headers)]) {
      expect(value).not.toMatch(/[\p{Cc}\p{Zl}\p{Zp}]/u);
    }
    expect(mail.headers["List-Unsubscribe"]).toMatch(/^<[^<>\s,]+>$/);
    expect(mail.headers.References).toMatch(/^<[A-Za-z0-9.-]+@[A-Za-z0-9.-]+>$/);
  });

  test("a notice has none that leaves a list", () => {
    const mail = mailRenderer.notice(hostileCopy(confirmNotice));
    expect(Object.keys(mail.headers)).toEqual(["Auto-Submitted", "Content-Language"]);
    expect(mail.subject).not.toMatch(/[\r\n]/);
  });
});

describe("hostile texts", () => {
  test("are shown as they are, and never act", () => {
    const notice = hostileCopy(confirmNotice);
    for (const html of [render(hostileCopy(manyJobs)).html, mailRenderer.notice(notice).html]) {
      expect(html).not.toMatch(/<script|<img/i);
      expect(html).toContain("&lt;script&gt;");
    }
  });

  test("a link that is none of the web's leads nowhere", () => {
    const links = { postReading: "javascript:alert(1)", layUp: "javascript:alert(2)" };
    const { html } = render({ ...oneJob, machines: [{ ...machine150, links }] });
    expect(html).not.toContain("javascript:");
    expect(html).toContain('href="#"');
  });

  test("names of any length leave room for the range in the first 90 characters", () => {
    const long = "A very long name of a machine or a job that goes on and on and on and on and on";
    const item = { ...valveClearance, title: long };
    const { text } = render({
      ...oneJob,
      machines: [{ ...machine150, name: long, items: [item] }],
    });
    expect(text.slice(0, 90)).toMatch(/^A very.*…: A very.*…, between 12 and 30 May\./);
  });
});
