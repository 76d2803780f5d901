import { mkdtempSync, readdirSync, rmSync } from "node:fs";
import { tmpdir } from "node:os";
import { join } from "node:path";
import nodemailer, { type SendMailOptions } from "nodemailer";
import { afterEach, describe, expect, it } from "vitest";
import { type Mailbox, type MailboxOptions, startMailbox } from "../../src/commands/mailbox.ts";

const open: Mailbox[] = [];
const folders: string[] = [];

async function mailbox(options: MailboxOptions = {}): Promise<Mailbox> {
  const started = await startMailbox(options);
  open.push(started);
  return started;
}

function send(to: Mailbox, mail: SendMailOptions) {
  const transport = nodemailer.createTransport(to.smtpUrl, {
    from: { name: "Forewheel", address: "reminders@example.org" },
  });
  return transport.sendMail({ to: { name: "Rider", address: "rider@example.org" }, ...mail });
}

afterEach(async () => {
  for (const box of open.splice(0)) await box.stop();
  for (const folder of folders.splice(0)) rmSync(folder, { recursive: true, force: true });
});

describe("the local mailbox", () => {
  it("takes real mail and shows it as JSON, with text, HTML, headers and files", async () => {
    const box = await mailbox();
    await send(box, {
      subject: "Ventilspiel prüfen: Single 150",
      messageId: "<m1@example.org>",
      text: "Between 12 and 30 May.",
      html: "<p>Between 12 and 30 May.</p>",
      headers: { "List-Unsubscribe-Post": "List-Unsubscribe=One-Click" },
      attachments: [
        { filename: "due.ics", contentType: "text/calendar", content: "BEGIN:VCALENDAR" },
      ],
    });
    const [listed] = (await (await fetch(`${box.url}/messages`)).json()) as { id: string }[];
    expect(listed).toMatchObject({
      from: '"Forewheel" <reminders@example.org>',
      to: ["rider@example.org"],
      subject: "Ventilspiel prüfen: Single 150",
      messageId: "<m1@example.org>",
    });
    const full = await (await fetch(`${box.url}/messages/${listed?.id}`)).json();
    expect(full).toMatchObject({
      headers: { "list-unsubscribe-post": ["List-Unsubscribe=One-Click"] },
      text: "Between 12 and 30 May.",
      html: "<p>Between 12 and 30 May.</p>",
      attachments: [{ filename: "due.ics", contentType: "text/calendar", size: 15 }],
    });
    const file = await fetch(`${box.url}/messages/${listed?.id}/attachments/0`);
    expect(file.headers.get("content-disposition")).toContain("attachment");
    expect(await file.text()).toBe("BEGIN:VCALENDAR");
  });

  it("waits for a message that is still to come, and says what came instead", async () => {
    const box = await mailbox();
    const wanted = box.waitFor(({ subject }) => subject === "second", 5000);
    await send(box, { subject: "first", text: "." });
    await send(box, { subject: "second", text: "." });
    expect((await wanted).subject).toBe("second");
    await expect(box.waitFor(({ subject }) => subject === "third", 20)).rejects.toThrow(
      'here are: "first", "second"',
    );
  });

  it("shows what senders write as text, never as part of its own page", async () => {
    const box = await mailbox();
    await send(box, {
      subject: "<script>alert(1)</script>",
      text: "</pre><img src=x onerror=alert(2)>",
      html: '<html><head></head><body><script>alert(3)</script><img src="cid:scale"></body></html>',
      attachments: [
        {
          filename: "a\"'><b>.png",
          cid: "scale",
          content: Buffer.from("png"),
          contentType: "image/png",
        },
      ],
    });
    const id = box.messages()[0]?.id;
    for (const path of ["/", `/read/${id}`]) {
      const shown = await (await fetch(box.url + path)).text();
      expect(shown).not.toMatch(/<script|<img|<b>\.png/);
    }
    const frame = await fetch(`${box.url}/messages/${id}/html`);
    expect(frame.headers.get("content-security-policy")).toMatch(
      /^sandbox allow-popups allow-popups-to-escape-sandbox; default-src 'none'/,
    );
    const own = await frame.text();
    expect(own).toContain('<head><base target="_blank">');
    expect(own).toContain(`<img src="/messages/${id}/attachments/0">`);
    expect((await fetch(`${box.url}/messages/${id}/attachments/0`)).status).toBe(200);
  });

  it("answers 404 where there is no message or no such file", async () => {
    const box = await mailbox();
    for (const path of [
      "/messages/..%2f..%2fetc",
      "/read/1",
      "/messages/1/html",
      "/messages/1/raw",
      "/messages/1/attachments/0",
    ]) {
      expect((await fetch(box.url + path)).status).toBe(404);
    }
  });

  it("finds its messages again, envelope included, and forgets them when cleared", async () => {
    const folder = mkdtempSync(join(tmpdir(), "forewheel-mail-"));
    folders.push(folder);
    const first = await mailbox({ folder });
    const to = ["one@example.org", "two@example.org"];
    await send(first, { envelope: { from: "bounce@example.org", to }, subject: "kept", text: "x" });
    const [before] = first.messages();
    await first.stop();
    const second = await mailbox({ folder });
    expect(second.messages()).toEqual([before]);
    expect(second.messages()[0]).toMatchObject({
      envelopeFrom: "bounce@example.org",
      envelopeTo: to,
    });
    await second.clear();
    expect(readdirSync(folder)).toEqual([]);
  });

  it.each([
    ["greeting", 421],
    ["sender", 451],
    ["recipient", 450],
    ["recipient", 550],
    ["data", 452],
    ["data", 554],
  ] as const)("can refuse at the stage %s with %i and then keeps nothing", async (stage, code) => {
    const box = await mailbox({
      behaviour: (now) => (now === stage ? { code, text: "as told" } : "accept"),
    });
    await expect(send(box, { subject: "refused", text: "x" })).rejects.toMatchObject({
      responseCode: code,
    });
    expect(box.messages()).toEqual([]);
  });

  it("can keep a message and refuse it all the same", async () => {
    const box = await mailbox({
      behaviour: (stage) =>
        stage === "data" ? { code: 451, text: "later", keep: true } : "accept",
    });
    await expect(send(box, { subject: "both", text: "x" })).rejects.toMatchObject({
      responseCode: 451,
    });
    expect(box.messages()).toHaveLength(1);
  });

  it("can hang, and still stops at once", async () => {
    const box = await mailbox({ behaviour: () => "hang" });
    const transport = nodemailer.createTransport({
      url: box.smtpUrl,
      host: "127.0.0.1",
      port: Number(new URL(box.smtpUrl).port),
      greetingTimeout: 200,
    });
    await expect(
      transport.sendMail({ from: "a@example.org", to: "b@example.org", text: "x" }),
    ).rejects.toThrow(/Greeting never received/);
    const before = Date.now();
    await box.stop();
    expect(Date.now() - before).toBeLessThan(2000);
  });
});
