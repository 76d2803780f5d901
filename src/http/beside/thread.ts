import { setPriority } from "node:os";
import { type MessagePort, parentPort } from "node:worker_threads";
import { answerTo } from "./answer-to.ts";
import type { Question, Reply } from "./question.ts";

// Where processors are scarce the event loop comes first. Elsewhere the priority would be the whole process's.
if (process.platform === "linux") setPriority(0, 10);

/**
 * The thread's own program. A question comes with a port of its own: whatever is posted there asks
 * for the answer's next piece, and closing it says that nobody wants the rest.
 */
parentPort?.on("message", ({ question, port }: { question: Question; port: MessagePort }) => {
  const unwanted = new AbortController();
  const pieces = answerTo(question, unwanted.signal);
  port.on("close", () => unwanted.abort());
  port.on("message", () => {
    pieces.next().then(
      ({ value: piece }) => piece && tell(port, piece, [piece.bytes.buffer as ArrayBuffer]),
      (failed: unknown) => tell(port, { failed }),
    );
  });
});

function tell(port: MessagePort, reply: Reply, moved: ArrayBuffer[] = []): void {
  port.postMessage(reply, moved);
}
