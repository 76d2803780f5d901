import { MessageChannel, type MessagePort, Worker } from "node:worker_threads";
import { Refusal } from "../../domain/failure/failure.ts";
import type { Piece, Question, Reply } from "./question.ts";

/** Of a thread that outgrows it the questions fail, and the service goes on. */
const MOST_MEMORY_MB = 1024;

/** One answer on its way out of the thread. */
export interface Asked {
  /**
   * The next piece, until one is the last.
   * @throws Refusal unavailable when the thread has ended, or `close` was called
   */
  next(): Promise<Piece>;
  /** Lets the thread leave off what nobody waits for any longer. */
  close(): void;
}

/** A thread for work that would hold up the event loop: started by the first question, and anew after it broke. */
export interface ThreadBeside {
  ask(question: Question): Asked;
  close(): Promise<void>;
}

/** @param program the compiled `thread.ts`; @param onBroken told why the thread has ended */
export function threadBeside(program: URL, onBroken: (error: Error) => void): ThreadBeside {
  const open = new Set<MessagePort>();
  let running: Worker | null = null;

  const start = (): Worker => {
    const thread = new Worker(program, {
      resourceLimits: { maxOldGenerationSizeMb: MOST_MEMORY_MB },
    });
    thread.unref();
    thread.on("error", onBroken);
    thread.once("exit", () => {
      running = null;
      for (const port of open) port.close();
    });
    return thread;
  };

  return {
    ask(question) {
      const { port1, port2 } = new MessageChannel();
      const { bytes } = question;
      running ??= start();
      running.postMessage(
        { question, port: port2 },
        bytes ? [port2, bytes.buffer as ArrayBuffer] : [port2],
      );
      open.add(port1);
      port1.once("close", () => open.delete(port1));
      return {
        async next() {
          if (!open.has(port1)) throw ended();
          return nextOn(port1);
        },
        close: () => port1.close(),
      };
    },
    async close() {
      await running?.terminate();
    },
  };
}

async function nextOn(port: MessagePort): Promise<Piece> {
  const reply = await new Promise<Reply>((resolve, reject) => {
    const closed = () => reject(ended());
    port.once("close", closed);
    port.once("message", (told: Reply) => {
      port.off("close", closed);
      resolve(told);
    });
    port.postMessage(null);
  });
  if ("failed" in reply) throw reply.failed;
  return reply;
}

function ended(): Refusal {
  return new Refusal({ kind: "unavailable", retryAfter: 1 });
}
