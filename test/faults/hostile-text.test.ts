import { afterAll, beforeAll, describe, expect, test } from "vitest";
import { type Json, sandbox } from "../support/client.ts";
import { type RunningService, startService } from "../support/service.ts";
import { report } from "./support/report.ts";

/** Each is a text that somebody may mean, and that something on the way may act upon. */
const TEXTS = [
  `Robert'); drop table reading; --`,
  `=HYPERLINK("http://thief.example.org";"x")`,
  `+1+1 @SUM(A1) -2`,
  `<script>alert(1)</script><img src=x onerror=alert(2)>`,
  `"'><svg/onload=alert(3)>`,
  `x ]]> &amp; &lt;b&gt; {{7*7}} \${7*7} %s %00`,
  `a\u202eb\u200bc\u2066d`,
];
/** A line break is no part of a name; where text may have lines it is kept. */
const LINES = "first\r\nBcc: thief@example.org\r\n\r\nsecond";

describe("text that something might act upon", () => {
  let service: RunningService;
  let club: Awaited<ReturnType<typeof sandbox>>;
  beforeAll(async () => {
    service = await startService();
    club = await sandbox(service, "2026-04-01T08:00:00Z");
  });
  afterAll(() => service.stop());

  /** A machine with the text wherever there may be one; answers what was stored and what came of it. */
  async function filled(text: string) {
    const member = await club.post("/v1/members", {
      ...{ name: text, email: "kim@example.org", role: "rider", timeZone: "UTC", externalId: text },
    });
    const vehicle = await club.post("/v1/vehicles", {
      ...{ name: text, kind: "motorcycle", meterUnit: "km", inServiceOn: "2026-01-01" },
      ...{ make: text, model: text, registration: text, frameNumber: text, group: text },
      ...{ notes: text, externalId: text, declaredPerYear: 6000 },
      responsibleMemberId: member.body.id,
    });
    const at = `/v1/vehicles/${vehicle.body.id}`;
    const task = await club.post(`${at}/tasks`, {
      ...{ title: text, every: { distance: 1000 }, lastWork: "never" },
      ...{ tools: [text], steps: [text], cautions: [text], closingChecks: [text], access: [text] },
      ...{ parts: [{ name: text, number: text }], fluids: [{ name: text, grade: text }] },
      points: [{ name: text, quantity: "length", unit: "mm", upper: 30, method: "value" }],
      severe: { factor: 0.9, reason: text, limits: ["distance"] },
    });
    const reading = await club.post(`${at}/readings`, { value: 850, note: text, externalId: text });
    const layUp = await club.post(`${at}/lay-ups`, { from: "2027-11-01", reason: text });
    const work = await club.post(`${at}/work-records`, {
      ...{ doneAt: "2026-03-20", by: { name: text }, notes: text, externalId: text },
      parts: [{ name: text, number: text }],
    });
    return { at, answers: { member, vehicle, task, reading, layUp, work } };
  }

  function textsIn(value: unknown): string[] {
    if (typeof value === "string") return [value];
    return value !== null && typeof value === "object" ? Object.values(value).flatMap(textsIn) : [];
  }

  let fields = 0;
  test.each(TEXTS)("%s is stored as it is, and escaped on the way out", async (text) => {
    const { at, answers } = await filled(text);
    for (const [name, { status, body }] of Object.entries(answers)) {
      expect(status, `${name}: ${JSON.stringify(body)}`).toBe(201);
      const stored = textsIn(body).filter((one) => one === text).length;
      expect(stored, name).toBeGreaterThan(0);
      fields += stored;
    }
    const history = async (type: string) =>
      (await club.get(`${at}/service-history`, { accept: type })).body as unknown as string;
    const html = await history("text/html");
    expect(html).not.toMatch(/<script|<img|<svg\/onload/i);
    const csv = await history("text/csv");
    for (const cell of csv.split(/[\r\n,]+/)) {
      // A spreadsheet takes a cell that begins so for a formula.
      expect(cell.replace(/^"/, "")).not.toMatch(/^[=+@-][^0-9]/);
    }
    const drawing = (await club.get(`${at}/forecast.svg`)).body as unknown as string;
    expect(drawing).not.toMatch(/<script|<img|<svg\/onload/i);
    const { clock } = (await club.get("/v1/account")).body;
    await club.moveTo(new Date(Date.parse(clock) + 10 * 86_400_000).toISOString());
    const { items } = (await club.get("/v1/messages?kind=reminder&limit=200")).body;
    expect(items.length).toBeGreaterThan(0);
    const mail = (await club.get(`/v1/messages/${items[0].id}`)).body;
    expect(mail.subject).not.toMatch(/[\r\n]/);
    expect(mail.html).not.toMatch(/<script|<img|<svg\/onload/i);
    for (const value of Object.values(mail.headers as Record<string, string>)) {
      expect(value).not.toMatch(/\r|\n(?![ \t])/);
    }
    for (const { content } of mail.attachments) {
      for (const line of (content as string).split("\r\n")) {
        expect(line, "a line of the calendar file").toMatch(/^([A-Z-]+[;:]| |$)/);
      }
    }
    const page = (mail.text as string).match(/Post a reading: (\S+)/)?.[1];
    if (page) {
      const shown = await (await fetch(service.baseUrl + new URL(page).pathname)).text();
      expect(shown).not.toMatch(/<script|<img|<svg\/onload/i);
    }
  });

  test("line breaks: refused where there is one line, kept where there may be several, never in a header", async () => {
    const one = await club.post("/v1/vehicles", { name: LINES, kind: "car", meterUnit: "km" });
    const notes = await club.post("/v1/vehicles", {
      ...{ name: "Lines", kind: "car", meterUnit: "km", notes: LINES },
    });
    expect(notes.body.notes).toBe(LINES);
    if (one.status === 201) expect(one.body.name).toBe(LINES);
    else expect(one.status).toBe(422);
    const member = await club.post("/v1/members", {
      ...{ name: "Kim", email: "kim@example.org\r\nBcc: thief@example.org", role: "rider" },
    });
    expect(member.status).toBe(422);
    const messages = (await club.get("/v1/messages?limit=200")).body.items as Json[];
    for (const { subject } of messages) expect(String(subject)).not.toMatch(/[\r\n]/);
    report({
      fault: "SQL, CSV formula, HTML, CRLF in every text field",
      ...{ backend: "-", tries: TEXTS.length + 1, due: fields, sent: fields, lost: 0, repeated: 0 },
      note: `${fields} texts stored as they were`,
    });
  });
});
