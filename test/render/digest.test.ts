import { describe, expect, test } from "vitest";
import type { DigestMailView } from "../../src/application/digest-view.ts";
import { en } from "../../src/content/messages/en.ts";
import { mailRenderer } from "../../src/render/mail/renderer.ts";
import { calm, fleet, monthly, oilChange, tourer, weekly } from "./digest-samples.ts";
import { HOSTILE, hostileCopy } from "./hostile.ts";

const thread = { memberId: "01971f3e-0000-7000-8000-00000000000a", domain: "mail.example.org" };
const render = (view: DigestMailView) => mailRenderer.digest(view, thread);

describe("a weekly digest", () => {
  const mail = render(weekly);

  test("its subject says the week and what is in it", () => {
    expect(mail.subject).toBe("Week of 4 May: 3 jobs due, 1 overdue");
  });

  test.each([
    "3 jobs fall due by 10 May, 1 is overdue.",
    "4 jobs are likely to follow by 17 May, on 3 machines.",
    "Drive chain: Engine off: never turn the wheel by the engine with fingers near the chain.",
    "handbook and local law prevail",
    "Twin 650 tourer",
    "Kept by: Maren Holt",
    "Due since 1 February.",
    "Between 6 and 14 May, most likely 8 May.",
    "About 212 km left to 6,000 km.",
    "About 103 mi past 24,000 mi.",
    "On 214 machines nothing is likely to fall due before 13 May.",
    "2 jobs are not counted here: their last work or a reading is missing.",
    "Trail 250: 52,100 km on 2 May, likelier 5,210 km",
    "Step-through 110 number 7: never read",
    "Trail 250 number 3: last 4,821 km on 30 November 2025",
    "Work logged since 27 April",
    "Single 150: Spark plug; Air filter, on 29 April",
    "Trail 250: Other work, on 28 April",
    "and 12 more",
    "To Kim Vale: 552 5.2.2 mailbox full",
    "Nothing reaches Sam Reed: 550 5.1.1 no such user here",
    "2 deliveries to other programs failed.",
    "The weekly digest of Harbour co-op.",
  ])("text and HTML both say: %s", (what) => {
    expect(mail.text).toContain(what);
    expect(mail.html).toContain(what);
  });

  test("each caution is said once, before the work", () => {
    const twice = { ...tourer, name: "Another", jobs: { items: [oilChange, oilChange], count: 2 } };
    const { text } = render({ ...weekly, machines: { items: [twice, tourer], count: 2 } });
    expect(text.split("Hot oil burns")).toHaveLength(2);
    expect(text.indexOf("Hot oil burns")).toBeLessThan(text.indexOf("== Another"));
  });

  test("whoever reads it can log the work, post a reading, and leave", () => {
    for (const { logWork } of tourer.jobs.items.map(({ links }) => links)) {
      expect(mail.text).toContain(logWork);
      expect(mail.html).toContain(`href="${logWork}"`);
    }
    expect(mail.html).toContain('href="https://api.example.org/links/post1"');
    expect(mail.headers).toEqual({
      "Auto-Submitted": "auto-generated",
      "List-Unsubscribe": "<https://api.example.org/links/leave>",
      "List-Unsubscribe-Post": "List-Unsubscribe=One-Click",
      "Content-Language": "en-GB",
      References: `<digest-${thread.memberId}@mail.example.org>`,
    });
  });

  test("it needs no image, no script and no other host, and brings no calendar", () => {
    expect(mail.html).not.toMatch(/<img|<script|<link|@import|url\(/i);
    expect(mail.attachments).toEqual([]);
  });

  test("a machine that must not be ridden is said to be, with what else it has", () => {
    const unsafe = { ...tourer, doNotRide: ["Rear tyre: cord to be seen"], laidUp: true };
    const jobs = { ...unsafe.jobs, count: 9 };
    const told = render({ ...weekly, machines: { items: [{ ...unsafe, jobs }], count: 1 } });
    for (const body of [told.text, told.html]) {
      expect(body).toContain("An open defect forbids riding this machine: Rear tyre: cord");
      expect(body).toContain("And 7 more jobs on this machine.");
      expect(body).toContain("This machine is laid up.");
    }
  });
});

describe("what a subject and a heading say", () => {
  const heading = (view: DigestMailView) => {
    const { subject, html } = render(view);
    return [subject, /<h1[^>]*>(.*)<\/h1>/.exec(html)?.[1]];
  };

  test.each([
    [3, 0, "Week of 4 May: 3 jobs due", "3 jobs fall due by 10 May."],
    [1, 2, "Week of 4 May: 1 job due, 2 overdue", "1 job falls due by 10 May, 2 are overdue."],
    [0, 1, "Week of 4 May: 1 job overdue", "1 job is overdue."],
    [0, 0, "Week of 4 May: nothing due", "Nothing is likely to fall due by 10 May."],
  ])("of %i due and %i overdue", (due, overdue, ...told) => {
    expect(heading({ ...weekly, due, overdue })).toEqual(told);
  });

  test("of a month", () => {
    expect(heading(monthly)).toEqual(["In May 2026: 1 job due", "1 job falls due by 31 May."]);
    const html = render(monthly).html;
    expect(html).toContain("On 1 machine nothing is in sight.");
    expect(html).toContain("1 job is likely to follow by 30 June, on 1 machine.");
    expect(html).toContain("1 delivery to other programs failed.");
    expect(html).toContain("The monthly digest of Harbour co-op.");
  });

  test("of the last week of a year, with the year of its end", () => {
    const span = { from: "2026-12-28", to: "2027-01-03" };
    expect(heading({ ...weekly, span, today: "2026-12-28", overdue: 0 })[1]).toBe(
      "3 jobs fall due by 3 January 2027.",
    );
  });

  test("a week without jobs has no cautions and no machine", () => {
    const { text } = render(calm);
    expect(text).not.toContain("Before you start");
    expect(text).not.toContain("Mail that did not arrive");
    expect(text).toContain("Work logged since 27 April");
  });
});

describe("a long fleet", () => {
  const mail = render(fleet);

  test("stays under 60 kB and gives true numbers of what it has no room for", () => {
    expect(Buffer.byteLength(mail.html)).toBeLessThan(60_000);
    for (const body of [mail.text, mail.html]) {
      const shown = [...body.matchAll(/Step-through 110 number \d+(?=<| ·)/g)].length;
      expect(shown).toBeGreaterThanOrEqual(12);
      expect(body).toContain(
        `${40 - shown} more machines have ${130 - 3 * shown} jobs due as well, for which this mail has no room.`,
      );
      expect(body).toContain("On 260 machines nothing is likely to fall due before 13 May.");
    }
  });

  test("also where its links and names are as long as they get", () => {
    const long = "A name that goes on ".repeat(10);
    const url = `https://api.example.org/links/${"a".repeat(200)}`;
    const items = fleet.machines.items.map((machine) => ({
      ...machine,
      name: long,
      keeper: long,
      jobs: {
        ...machine.jobs,
        items: machine.jobs.items.map((item) => ({
          ...item,
          title: long,
          links: { logWork: url },
        })),
      },
    }));
    const { html } = render({ ...fleet, machines: { items, count: 40 } });
    expect(Buffer.byteLength(html)).toBeLessThan(60_000);
  });
});

test("hostile texts are shown, never acted upon", () => {
  const { subject, text, html, headers } = render(hostileCopy(weekly));
  expect(html).not.toContain("<script");
  expect(html).not.toMatch(/<img/);
  expect(html).toContain("&lt;script&gt;");
  expect(subject).not.toMatch(/[\r\n\u202e]/);
  expect(text).not.toMatch(/^Bcc:/m);
  for (const value of Object.values(headers)) expect(value).not.toMatch(/[\r\n]/);
  expect(text).toContain(HOSTILE.slice(0, 20));
});

const EXAMPLES = { weekly, monthly, calm, fleet };
const LOCALES = ["de", "es", "fr", "de-AT", "de-CH", "es-MX", "es-AR", "fr-CA"];

describe.each(LOCALES)("in %s", (locale) => {
  test.each(Object.entries(EXAMPLES))("the %s digest is whole", (_, view) => {
    for (const one of [view, { ...view, due: 1, overdue: 2 }, { ...view, due: 0 }]) {
      const mail = render({ ...one, locale });
      const shown = mail.html.replaceAll(/<(style|head)>[\s\S]*?<\/\1>|<[^>]*>/g, " ");
      for (const text of [mail.subject, mail.text, shown]) {
        expect(text).not.toMatch(/undefined|null|NaN|Invalid Date|[{}]|\[object/);
      }
      const english = Object.values(en).filter((told) => !/[{}]/.test(told) && told.length > 12);
      expect(english.filter((sentence) => mail.text.includes(sentence))).toEqual([]);
      expect(mail.html).toContain(`<html lang="${locale.slice(0, 2)}-`);
    }
  });
});

test("each language says the week in its own words", () => {
  const told = (locale: string, view: DigestMailView = weekly) => {
    const { subject, html } = render({ ...view, locale });
    return [subject, /<h1[^>]*>(.*)<\/h1>/.exec(html)?.[1]];
  };
  expect(told("de")).toEqual([
    "Woche ab 4. Mai: 3 Arbeiten fällig, 1 überfällig",
    "3 Arbeiten werden bis zum 10. Mai fällig, 1 ist überfällig.",
  ]);
  expect(told("es")).toEqual([
    "Semana del 4 de mayo: 3 trabajos pendientes, 1 fuera de plazo",
    "3 trabajos vencen hasta el 10 de mayo, 1 está fuera de plazo.",
  ]);
  expect(told("fr")).toEqual([
    "Semaine du 4 mai\u202f: 3 interventions à faire, 1 en retard",
    "3 interventions arrivent à échéance d’ici au 10 mai, 1 est en retard.",
  ]);
  expect(told("de", monthly)[0]).toBe("Im Mai 2026: 1 Arbeit fällig");
  expect(told("es", monthly)[0]).toBe("En mayo de 2026: 1 trabajo pendiente");
  expect(told("fr", monthly)[0]).toBe("En mai 2026\u202f: 1 intervention à faire");
});
