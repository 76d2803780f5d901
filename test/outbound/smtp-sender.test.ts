import { afterEach, describe, expect, test } from "vitest";
import { startMailbox } from "../../src/commands/mailbox.ts";
import { smtpSender } from "../../src/outbound/smtp-sender.ts";
import { smtpSink } from "../faults/support/smtp-sink.ts";

type Mailbox = Awaited<ReturnType<typeof startMailbox>>;

const MAIL = {
  to: { name: "Robin", address: "robin@example.org" },
  messageId: "<message-1@example.org>",
  subject: "Single 150: valve clearance",
  text: "Between 12 and 30 May.",
  html: "<p>Between 12 and 30 May.</p>",
  headers: {
    "Auto-Submitted": "auto-generated",
    "List-Unsubscribe": "<https://example.org/links/x>",
  },
  attachments: [
    {
      filename: "due.ics",
      contentType: "text/calendar; charset=utf-8",
      content: "BEGIN:VCALENDAR",
    },
  ],
};

describe("handing a message to a real mail server", () => {
  const boxes: Mailbox[] = [];
  afterEach(async () => {
    for (const box of boxes.splice(0)) await box.stop();
  });

  const box = async (options: Parameters<typeof startMailbox>[0] = {}) => {
    const mailbox = await startMailbox(options);
    boxes.push(mailbox);
    const from = { name: "Forewheel", address: "reminders@example.org" };
    return { mailbox, sender: smtpSender({ url: mailbox.smtpUrl, from, timeoutMs: 10_000 }) };
  };

  test("arrives whole, with its own Message-ID and headers", async () => {
    const { mailbox, sender } = await box();
    expect(await sender.send(MAIL)).toMatchObject({ kind: "accepted" });
    const message = await mailbox.waitFor(() => true, 5_000);
    expect(message.messageId).toBe(MAIL.messageId);
    expect(message.subject).toBe(MAIL.subject);
    expect(message.envelopeTo).toEqual(["robin@example.org"]);
    expect(message.headers["auto-submitted"]).toEqual(["auto-generated"]);
    expect(message.headers["list-unsubscribe"]).toEqual(["<https://example.org/links/x>"]);
  });

  test("one whose answer is lost after its last byte may have been taken; before that it was not", async () => {
    const sink = await smtpSink();
    const from = { name: "Forewheel", address: "reminders@example.org" };
    const sender = smtpSender({ url: sink.url, from, timeoutMs: 1_000 });
    for (const text of ["short", "long ".repeat(50_000)]) {
      await sink.behave({ kind: "breaksAfterDot" });
      expect(await sender.send({ ...MAIL, text })).toMatchObject({ kind: "unknown" });
      await sink.behave({ kind: "hangsAtGreeting" });
      expect(await sender.send({ ...MAIL, text })).toMatchObject({ kind: "later" });
    }
    expect([...sink.taken.keys()]).toEqual([MAIL.messageId]);
    await sink.stop();
  });

  test("a name or an address that carries line breaks adds no recipient and no header", async () => {
    const { mailbox, sender } = await box();
    const name = "Robin\r\nBcc: other@example.org";
    await sender.send({ ...MAIL, to: { name, address: "robin@example.org" } });
    const message = await mailbox.waitFor(() => true, 5_000);
    expect(message.envelopeTo).toEqual(["robin@example.org"]);
    expect(message.headers.bcc).toBeUndefined();
    const address = "robin@example.org\r\nBcc: other@example.org";
    const refused = await sender.send({ ...MAIL, to: { name: "Robin", address } });
    expect(refused).toMatchObject({ kind: "refused" });
  });

  test("nobody listens: to be tried later, the server was not reached", async () => {
    const { mailbox, sender } = await box();
    await mailbox.stop();
    boxes.length = 0;
    expect(await sender.send(MAIL)).toMatchObject({ kind: "later", reachable: false });
  });

  test("4xx: to be tried later, in the server's own words", async () => {
    const { sender } = await box({
      behaviour: (stage) =>
        stage === "recipient" ? { code: 451, text: "4.7.1 greylisted" } : "accept",
    });
    const delivery = await sender.send(MAIL);
    expect(delivery).toMatchObject({ kind: "later", reachable: true });
    expect(delivery.answer).toContain("greylisted");
  });

  test("5xx for the mailbox is told from 5xx for the content", async () => {
    const unknown = await box({
      behaviour: (stage) =>
        stage === "recipient" ? { code: 550, text: "5.1.1 no such user" } : "accept",
    });
    expect(await unknown.sender.send(MAIL)).toMatchObject({
      kind: "refused",
      mailboxUnknown: true,
    });
    const policy = await box({
      behaviour: (stage) =>
        stage === "data" ? { code: 554, text: "5.7.1 refused by policy" } : "accept",
    });
    expect(await policy.sender.send(MAIL)).toMatchObject({
      kind: "refused",
      mailboxUnknown: false,
    });
  });
});
