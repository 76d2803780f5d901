import type { Socket } from "node:net";
import { SMTPServer, type SMTPServerSession } from "smtp-server";
import { freePort } from "../../../src/commands/free-port.ts";

/** How the server behaves to those who deliver to it. */
export type Conduct =
  | { readonly kind: "accepts"; readonly afterMs?: number }
  /** Nobody listens on its port. */
  | { readonly kind: "refuses" }
  | { readonly kind: "hangsAtGreeting" }
  /** Keeps the message and breaks off without an answer. */
  | { readonly kind: "breaksAfterDot" }
  | {
      readonly kind: "says";
      readonly at: "recipient" | "data";
      readonly code: number;
      readonly text: string;
      /** Only to recipients whose address begins so. */
      readonly to?: string;
    };

/** A mail server on 127.0.0.1 that remembers every message it took, by its Message-ID. */
export interface SmtpSink {
  readonly url: string;
  /** Instants in ms at which each Message-ID was taken, oldest first. */
  readonly taken: ReadonlyMap<string, readonly number[]>;
  /** Instants in ms at which somebody connected. */
  readonly connected: readonly number[];
  /** From now on; connections that are open are broken off where it refuses from now on. */
  behave(conduct: Conduct): Promise<void>;
  /** Called as soon as a message is taken, before its sender is answered. */
  onTaken: ((messageId: string) => void) | undefined;
  /** Called with each recipient's address, before it is answered. */
  onRecipient: ((address: string) => void) | undefined;
  stop(): Promise<void>;
}

/** What the server's callbacks look at, and the test changes. */
type State = Pick<SmtpSink, "onTaken" | "onRecipient"> & {
  conduct: Conduct;
  taken: Map<string, number[]>;
  connected: number[];
  sockets: Map<number, Socket>;
};

type Answer = (error?: Error | null) => void;

export async function smtpSink(): Promise<SmtpSink> {
  const port = await freePort();
  const state: State & Partial<SmtpSink> = {
    conduct: { kind: "accepts" },
    taken: new Map(),
    connected: [],
    sockets: new Map(),
    onTaken: undefined,
    onRecipient: undefined,
  };
  let server: SMTPServer | undefined = await listening(port, state);
  const stop = async () => {
    const closing = server;
    server = undefined;
    await new Promise<void>((resolve) => (closing ? closing.close(() => resolve()) : resolve()));
  };
  return Object.assign(state, {
    url: `smtp://127.0.0.1:${port}`,
    async behave(conduct: Conduct) {
      state.conduct = conduct;
      if (conduct.kind === "refuses") await stop();
      else server ??= await listening(port, state);
    },
    stop,
  });
}

async function listening(port: number, state: State): Promise<SMTPServer> {
  const server = new SMTPServer({
    authOptional: true,
    disabledCommands: ["AUTH", "STARTTLS"],
    disableReverseLookup: true,
    closeTimeout: 50,
    onConnect: (_session, answer) => {
      state.connected.push(Date.now());
      if (state.conduct.kind !== "hangsAtGreeting") answer();
    },
    onRcptTo: ({ address }, _session, answer) => {
      state.onRecipient?.(address);
      answerAt("recipient", address, state, answer);
    },
    onData: (stream, session, answer) => {
      const chunks: Buffer[] = [];
      stream.on("data", (chunk: Buffer) => chunks.push(chunk));
      stream.on("end", () => take(Buffer.concat(chunks), session, state, answer));
    },
  });
  // Whoever breaks off is expected to; the server goes on.
  server.on("error", () => {});
  server.server.on("connection", (socket) => {
    const from = Number(socket.remotePort);
    state.sockets
      .set(from, socket)
      .get(from)
      ?.once("close", () => state.sockets.delete(from));
  });
  await new Promise<void>((resolve, reject) => {
    server.server.once("error", reject);
    server.listen(port, "127.0.0.1", resolve);
  });
  return server;
}

/** Answers in the words of its conduct where that speaks of this stage, else accepts. */
function answerAt(
  at: "recipient" | "data",
  address: string,
  { conduct }: State,
  answer: Answer,
): void {
  const refuses =
    conduct.kind === "says" && conduct.at === at && address.startsWith(conduct.to ?? "");
  answer(refuses ? Object.assign(new Error(conduct.text), { responseCode: conduct.code }) : null);
}

function take(raw: Buffer, session: SMTPServerSession, state: State, answer: Answer): void {
  const { conduct } = state;
  if (conduct.kind === "says" && conduct.at === "data") {
    answerAt("data", "", state, answer);
    return;
  }
  const messageId = messageIdOf(raw);
  state.taken.set(messageId, [...(state.taken.get(messageId) ?? []), Date.now()]);
  state.onTaken?.(messageId);
  if (conduct.kind === "breaksAfterDot") state.sockets.get(session.remotePort)?.destroy();
  else setTimeout(answer, conduct.kind === "accepts" ? (conduct.afterMs ?? 0) : 0);
}

function messageIdOf(raw: Buffer): string {
  const found = /^message-id:\s*(<[^>\s]+>)/im.exec(raw.toString("latin1", 0, 16_384))?.[1];
  if (found === undefined) throw new Error("A message came without a Message-ID.");
  return found;
}
