import Fastify, { type FastifyInstance, type FastifyReply } from "fastify";
import { framedHtml, listPage, messagePage, missingPage } from "./mailbox-page.ts";
import { type SmtpBehaviour, startSmtpSink } from "./mailbox-smtp.ts";
import { type MailMessage, type MailStore, openStore } from "./mailbox-store.ts";

/** All of it is optional: free ports, memory alone, every message accepted. */
export interface MailboxOptions {
  readonly smtpPort?: number;
  readonly httpPort?: number;
  /** Keeps messages as files, and finds them again. */
  readonly folder?: string;
  /** Makes faults to try a sender with; may change its mind from call to call. */
  readonly behaviour?: SmtpBehaviour;
}

/** A running mailbox on 127.0.0.1. */
export interface Mailbox {
  /** Where to send: `smtp://127.0.0.1:port`. */
  readonly smtpUrl: string;
  /** Origin of the page and of `/messages`, without a slash at its end. */
  readonly url: string;
  /** What has arrived and is kept, oldest first: at most the last 500. */
  messages(): readonly MailMessage[];
  /** The first message that fits, already there or yet to come. Rejects after `ms`, naming what came instead. */
  waitFor(fits: (message: MailMessage) => boolean, ms: number): Promise<MailMessage>;
  clear(): Promise<void>;
  stop(): Promise<void>;
}

/** Starts a mail server that keeps what it is sent, with a page and JSON to read it. */
export async function startMailbox(options: MailboxOptions = {}): Promise<Mailbox> {
  const store = await openStore(options.folder);
  const waiting = new Set<(message: MailMessage) => void>();
  const sink = await startSmtpSink(
    options.smtpPort ?? 0,
    options.behaviour ?? (() => "accept"),
    async (raw, envelope) => {
      const message = await store.add(raw, envelope);
      for (const tell of [...waiting]) tell(message);
    },
  );
  const app = Fastify({ forceCloseConnections: true });
  serveJson(app, store);
  servePages(app, store);
  const url = await app.listen({ host: "127.0.0.1", port: options.httpPort ?? 0 });
  return {
    smtpUrl: `smtp://127.0.0.1:${sink.port}`,
    url,
    messages: () => [...store.all()],
    waitFor: (fits, ms) => arrival(store, waiting, fits, ms),
    clear: () => store.clear(),
    stop: async () => {
      await Promise.all([sink.stop(), app.close()]);
    },
  };
}

function arrival(
  store: MailStore,
  waiting: Set<(message: MailMessage) => void>,
  fits: (message: MailMessage) => boolean,
  ms: number,
): Promise<MailMessage> {
  const there = store.all().find(fits);
  if (there !== undefined) return Promise.resolve(there);
  return new Promise((resolve, reject) => {
    const look = (message: MailMessage) => {
      if (!fits(message)) return;
      clearTimeout(timer);
      waiting.delete(look);
      resolve(message);
    };
    const timer = setTimeout(() => {
      waiting.delete(look);
      const subjects = store.all().map(({ subject }) => JSON.stringify(subject));
      reject(new Error(`No such message within ${ms} ms; here are: ${subjects.join(", ")}`));
    }, ms);
    waiting.add(look);
  });
}

interface IdParams {
  Params: { id: string; index: string };
}

function serveJson(app: FastifyInstance, store: MailStore): void {
  app.get("/messages", () => [...store.all()].reverse().map(summary));
  app.get<IdParams>("/messages/:id", (request, reply) => {
    const message = store.find(request.params.id);
    if (message === undefined) return reply.code(404).send({ title: "No such message" });
    const { headers, text, html } = message;
    const attachments = message.attachments.map(({ filename, contentType, content }, index) => ({
      filename,
      contentType,
      size: content.length,
      path: `/messages/${message.id}/attachments/${index}`,
    }));
    return { ...summary(message), headers, text, html: html ?? null, attachments };
  });
}

function summary(message: MailMessage) {
  const { id, from, envelopeTo, subject, messageId, receivedAt } = message;
  return { id, from, to: envelopeTo, subject, messageId, receivedAt: receivedAt.toISOString() };
}

function servePages(app: FastifyInstance, store: MailStore): void {
  const own = "default-src 'none'; style-src 'unsafe-inline'; frame-src 'self'; base-uri 'none'";
  const missing = (reply: FastifyReply) => send(reply.code(404), missingPage(), own);
  app.get("/", (_request, reply) => send(reply, listPage(store.all()), own));
  app.get<IdParams>("/read/:id", (request, reply) => {
    const message = store.find(request.params.id);
    return message === undefined ? missing(reply) : send(reply, messagePage(message), own);
  });
  app.get<IdParams>("/messages/:id/html", (request, reply) => {
    const message = store.find(request.params.id);
    if (message === undefined) return missing(reply);
    const origin = `${request.protocol}://${request.host}`;
    const policy = `sandbox allow-popups allow-popups-to-escape-sandbox; default-src 'none'; style-src 'unsafe-inline'; img-src ${origin} data:`;
    return send(reply, framedHtml(message), policy);
  });
  app.get<IdParams>("/messages/:id/raw", (request, reply) => {
    const message = store.find(request.params.id);
    if (message === undefined) return missing(reply);
    return download(reply, `${message.id}.eml`, "message/rfc822", message.raw);
  });
  app.get<IdParams>("/messages/:id/attachments/:index", (request, reply) => {
    const message = store.find(request.params.id);
    const attachment = message?.attachments[Number(request.params.index)];
    if (attachment === undefined) return missing(reply);
    return download(reply, attachment.filename, attachment.contentType, attachment.content);
  });
}

async function send(reply: FastifyReply, page: unknown, policy: string): Promise<FastifyReply> {
  return reply
    .header("content-security-policy", policy)
    .header("x-content-type-options", "nosniff")
    .type("text/html; charset=utf-8")
    .send(String(await page));
}

function download(reply: FastifyReply, name: string, type: string, content: Buffer): FastifyReply {
  // A sender's type and name go into headers, where a line break or a script would do harm.
  const safeType = /^[a-z0-9.+-]+\/[a-z0-9.+-]+$/i.test(type) ? type : "application/octet-stream";
  const wellFormed = Buffer.from(name).toString();
  const encoded = encodeURIComponent(wellFormed).replaceAll("'", "%27");
  return reply
    .header("content-disposition", `attachment; filename*=UTF-8''${encoded}`)
    .header("content-security-policy", "sandbox; default-src 'none'")
    .header("x-content-type-options", "nosniff")
    .type(safeType)
    .send(content);
}
