import { createTransport } from "nodemailer";
import type { Delivery, Mail, Sender } from "../application/outbox-ports.ts";

export interface SmtpSettings {
  /** `smtp://` or `smtps://`, with user and password where the server wants them. */
  url: string;
  from: { name: string; address: string };
  /** How long the server may take to let itself be reached, in ms. */
  timeoutMs: number;
}

/** The longest that one message can take: what a lease must outlast. */
export function longestSendMs({ timeoutMs }: Pick<SmtpSettings, "timeoutMs">): number {
  return 7.5 * timeoutMs;
}

/** A name is looked up, a connection made, a greeting awaited; then the server may think for longer. */
function timeouts(timeoutMs: number) {
  return {
    dnsTimeout: timeoutMs,
    connectionTimeout: timeoutMs,
    greetingTimeout: timeoutMs,
    socketTimeout: 3 * timeoutMs,
  };
}

/**
 * Hands messages to a mail server, one connection each: a pool would put a message back into its
 * queue by itself when a connection breaks, and nobody would know whether it was taken.
 */
export function smtpSender({ url, from, timeoutMs }: SmtpSettings): Sender {
  return {
    relays: true,
    async send(mail) {
      const address = soundAddress(mail.to.address);
      if (address === null) {
        const answer = "The address is not one that mail can be sent to.";
        return { kind: "refused", answer, mailboxUnknown: true };
      }
      const progress = { wholeSent: false };
      const transport = createTransport({ url, ...timeouts(timeoutMs) });
      transport.use("stream", ({ message }, ready) => {
        message.processFunc((bytes) => bytes.once("end", () => (progress.wholeSent = true)));
        ready();
      });
      try {
        const info = await transport.sendMail(envelopeOf(mail, from, address));
        return { kind: "accepted", answer: kept(info.response) };
      } catch (error) {
        return deliveryOf(error as SmtpError, progress);
      }
    },
  };
}

function envelopeOf(mail: Mail, from: SmtpSettings["from"], address: string) {
  return {
    from,
    to: { name: onOneLine(mail.to.name), address },
    // The envelope is told apart: a header that somebody else wrote never adds a recipient.
    envelope: { from: from.address, to: [address] },
    messageId: mail.messageId,
    subject: mail.subject,
    text: mail.text,
    ...(mail.html !== null && { html: mail.html }),
    headers: mail.headers,
    attachments: mail.attachments.map(({ filename, contentType, content }) => ({
      filename,
      contentType,
      content,
    })),
    disableUrlAccess: true,
    disableFileAccess: true,
  };
}

function onOneLine(name: string): string {
  return name.replaceAll(/\p{Cc}+/gu, " ");
}

/** As much of what a server said as is kept: it may say anything, at any length. */
function kept(answer: string): string {
  return onOneLine(answer).slice(0, KEPT_ANSWER);
}

const KEPT_ANSWER = 500;

/** nodemailer reads a list of recipients into a string with line breaks or commas; such is no address. */
function soundAddress(address: string): string | null {
  return /^[^\s@,;:<>"()[\]\\]+@[^\s@,;:<>"()[\]\\]+$/.test(address) ? address : null;
}

interface SmtpError extends Error {
  responseCode?: number;
  response?: string;
  command?: string;
}

/** A broken connection is reported the same at every stage; how much had been sent tells them apart. */
function deliveryOf(error: SmtpError, { wholeSent }: { wholeSent: boolean }): Delivery {
  const answer = kept(error.response ?? error.message);
  const code = error.responseCode;
  if (code === undefined) {
    // Without an answer to the whole message nobody knows whether it was taken.
    if (wholeSent) return { kind: "unknown", answer };
    return { kind: "later", answer, reachable: false };
  }
  if (code < 500) return { kind: "later", answer, reachable: true };
  return { kind: "refused", answer, mailboxUnknown: saysMailboxUnknown(error.command, answer) };
}

/** Enhanced codes 5.1.1, 5.1.2, 5.1.3, 5.1.6, 5.1.10 and 5.2.1 (RFC 3463) speak of the mailbox. */
function saysMailboxUnknown(command: string | undefined, answer: string): boolean {
  if (command !== "RCPT TO") return false;
  const enhanced = /\b5\.\d{1,3}\.\d{1,3}\b/.exec(answer)?.[0];
  if (enhanced === undefined) return /^55[013]/.test(answer);
  return ["5.1.1", "5.1.2", "5.1.3", "5.1.6", "5.1.10", "5.2.1"].includes(enhanced);
}
