import { SMTPServer, type SMTPServerSession } from "smtp-server";
import type { Envelope } from "./mailbox-store.ts";

/** Where in the dialogue the mailbox asks its behaviour what to do. */
export type SmtpStage = "greeting" | "sender" | "recipient" | "data";

/**
 * `hang` never answers. A refusal is answered with its three-digit code (4xx: later, 5xx: never);
 * with `keep`, at the stage `data`, the message is kept all the same, as by a server whose answer
 * tells less than it did.
 */
export type SmtpReply =
  | "accept"
  | "hang"
  | { readonly code: number; readonly text: string; readonly keep?: boolean };

/** Decides a reply; `address` is there at the stages `sender` and `recipient`. */
export type SmtpBehaviour = (stage: SmtpStage, address: string | undefined) => SmtpReply;

export interface SmtpSink {
  readonly port: number;
  stop(): Promise<void>;
}

type Answer = (error?: Error | null) => void;

const MAX_BYTES = 25 * 1024 * 1024;

/** Listens on 127.0.0.1 and gives every accepted message to `keep` before it is acknowledged. */
export async function startSmtpSink(
  port: number,
  behaviour: SmtpBehaviour,
  keep: (raw: Buffer, envelope: Envelope) => Promise<unknown>,
): Promise<SmtpSink> {
  const server = new SMTPServer({
    authOptional: true,
    disabledCommands: ["AUTH", "STARTTLS"],
    disableReverseLookup: true,
    banner: "local mailbox, nothing is sent on",
    closeTimeout: 50,
    size: MAX_BYTES,
    onConnect: (_session, answer) => give(behaviour("greeting", undefined), answer),
    onMailFrom: ({ address }, _session, answer) => give(behaviour("sender", address), answer),
    onRcptTo: ({ address }, _session, answer) => give(behaviour("recipient", address), answer),
    onData: (stream, session, answer) => {
      const chunks: Buffer[] = [];
      stream.on("data", (chunk: Buffer) => chunks.push(chunk));
      stream.on("end", () => {
        const reply = behaviour("data", undefined);
        const wanted = reply === "accept" || (typeof reply === "object" && reply.keep === true);
        const kept = wanted ? keep(Buffer.concat(chunks), envelopeOf(session)) : Promise.resolve();
        kept.then(() => give(reply, answer), answer);
      });
    },
  });
  // A client that breaks off is the client's affair; the server goes on.
  server.on("error", () => {});
  await new Promise<void>((resolve, reject) => {
    server.server.once("error", reject);
    server.listen(port, "127.0.0.1", resolve);
  });
  const address = server.server.address();
  if (address === null || typeof address === "string") throw new Error("No SMTP port to be had");
  return {
    port: address.port,
    stop: () => new Promise((resolve) => server.close(resolve)),
  };
}

function give(reply: SmtpReply, answer: Answer): void {
  if (reply === "hang") return;
  if (reply === "accept") answer();
  else answer(Object.assign(new Error(reply.text), { responseCode: reply.code }));
}

function envelopeOf(session: SMTPServerSession): Envelope {
  const { mailFrom, rcptTo } = session.envelope;
  return {
    from: mailFrom === false ? "" : mailFrom.address,
    to: rcptTo.map(({ address }) => address),
  };
}
