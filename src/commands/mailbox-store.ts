import { mkdir, readdir, readFile, rm, writeFile } from "node:fs/promises";
import { join } from "node:path";
import { type AddressObject, type ParsedMail, simpleParser } from "mailparser";

/** A file that came with a message. */
export interface MailAttachment {
  readonly filename: string;
  readonly contentType: string;
  /** Without the angle brackets; what `cid:` in the HTML refers to. */
  readonly contentId: string | undefined;
  readonly content: Buffer;
}

/** A message as it arrived. */
export interface MailMessage {
  readonly id: string;
  /** The envelope's sender; empty for a bounce. */
  readonly envelopeFrom: string;
  /** The envelope's recipients: who it is delivered to, whatever its headers say. */
  readonly envelopeTo: readonly string[];
  /** Decoded header text. */
  readonly from: string;
  readonly to: string;
  readonly subject: string;
  /** With its angle brackets. */
  readonly messageId: string;
  readonly receivedAt: Date;
  /** Lower-case names to values, unfolded but not decoded, in the order of arrival. */
  readonly headers: Readonly<Record<string, readonly string[]>>;
  readonly text: string;
  readonly html: string | undefined;
  readonly attachments: readonly MailAttachment[];
  /** Every byte after the dot-unstuffing, as sent. */
  readonly raw: Buffer;
}

export interface Envelope {
  readonly from: string;
  readonly to: readonly string[];
}

/** What a mailbox holds, oldest first. */
export interface MailStore {
  all(): readonly MailMessage[];
  find(id: string): MailMessage | undefined;
  add(raw: Buffer, envelope: Envelope): Promise<MailMessage>;
  clear(): Promise<void>;
}

const KEPT = 500;
const TRACE_END = "X-Mailbox-Trace: end\r\n";

/** Opens the messages kept in `folder`, or a store in memory alone where no folder is given. */
export async function openStore(folder: string | undefined): Promise<MailStore> {
  const messages = folder === undefined ? [] : await readFolder(folder);
  let count = 0;

  async function drop(gone: readonly MailMessage[]): Promise<void> {
    if (folder === undefined) return;
    await Promise.all(gone.map(({ id }) => rm(join(folder, `${id}.eml`), { force: true })));
  }

  return {
    all: () => messages,
    find: (id) => messages.find((message) => message.id === id),
    add: async (raw, envelope) => {
      count += 1;
      const now = Date.now();
      const id = `${now}-${process.pid}-${count}`;
      const message = await parsed(id, new Date(now), raw, envelope);
      if (folder !== undefined) {
        const bytes = Buffer.concat([Buffer.from(traced(message), "utf8"), raw]);
        await writeFile(join(folder, `${id}.eml`), bytes, { mode: 0o600 });
      }
      messages.push(message);
      await drop(messages.splice(0, Math.max(0, messages.length - KEPT)));
      return message;
    },
    clear: () => drop(messages.splice(0)),
  };
}

/** The lines that a mail server puts above a message it delivers; the envelope is read back from them. */
function traced(message: MailMessage): string {
  const recipients = message.envelopeTo.map((address) => `Delivered-To: ${address}\r\n`).join("");
  const received = `Received: by local mailbox; ${message.receivedAt.toUTCString()}\r\n`;
  return `Return-Path: <${message.envelopeFrom}>\r\n${recipients}${received}${TRACE_END}`;
}

async function readFolder(folder: string): Promise<MailMessage[]> {
  await mkdir(folder, { recursive: true, mode: 0o700 });
  const names = (await readdir(folder)).filter((name) => /^\d+-\d+-\d+\.eml$/.test(name));
  names.sort((a, b) => a.localeCompare(b, "en", { numeric: true }));
  const messages: MailMessage[] = [];
  for (const name of names.slice(-KEPT)) {
    const bytes = await readFile(join(folder, name));
    const end = bytes.indexOf(TRACE_END);
    if (end < 0) continue;
    const trace = bytes.subarray(0, end).toString("utf8");
    const id = name.slice(0, -".eml".length);
    const envelope = {
      from: /^Return-Path: <(.*)>/m.exec(trace)?.[1] ?? "",
      to: [...trace.matchAll(/^Delivered-To: (.*?)\r?$/gm)].map((match) => match[1] ?? ""),
    };
    const raw = bytes.subarray(end + TRACE_END.length);
    messages.push(await parsed(id, new Date(Number.parseInt(id, 10)), raw, envelope));
  }
  return messages;
}

async function parsed(
  id: string,
  receivedAt: Date,
  raw: Buffer,
  envelope: Envelope,
): Promise<MailMessage> {
  // Pictures stay attachments: in the HTML as data they would swell every page that shows it.
  const mail = await simpleParser(raw, { skipImageLinks: true });
  return {
    id,
    envelopeFrom: envelope.from,
    envelopeTo: envelope.to,
    from: mail.from?.text ?? "",
    to: addressText(mail.to),
    subject: mail.subject ?? "",
    messageId: mail.messageId ?? "",
    receivedAt,
    headers: headersOf(mail),
    text: mail.text ?? "",
    html: mail.html === false ? undefined : mail.html,
    attachments: mail.attachments.map((attachment, index) => ({
      filename: attachment.filename ?? `attachment-${index + 1}`,
      contentType: attachment.contentType,
      contentId: attachment.cid,
      content: attachment.content,
    })),
    raw,
  };
}

function headersOf(mail: ParsedMail): Record<string, string[]> {
  const headers = new Map<string, string[]>();
  for (const { key, line } of mail.headerLines) {
    const value = line.slice(line.indexOf(":") + 1).replaceAll(/\r?\n(?=[ \t])/g, "");
    headers.set(key, [...(headers.get(key) ?? []), value.trim()]);
  }
  return Object.fromEntries(headers);
}

function addressText(addresses: AddressObject | AddressObject[] | undefined): string {
  return [addresses ?? []]
    .flat()
    .map((address) => address.text)
    .join(", ");
}
