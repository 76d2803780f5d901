import { type SweepDeps, sweep } from "../src/application/mail/sweep.ts";
import type { MessageQueue } from "./queue.ts";

/** Woken at most in one go; the rest follows with the next tick. */
const WOKEN = 1000;

/**
 * One beat of the worker: plans again what is to be planned, gathers reminders that are due into
 * messages, and wakes the queue for every message that waits and that nobody holds. What was lost
 * between the row and the queue is found here again, so that losing the queue loses nothing.
 */
export async function tick(deps: SweepDeps, queue: MessageQueue): Promise<void> {
  const now = await deps.outbox.time();
  while ((await sweep(now, null, deps)) > 0);
  const waiting = await deps.outbox.waiting("mail", now, WOKEN, null);
  if (waiting.length > 0) await queue.wake(waiting);
}

/** Runs the work every `everyMs`, one run at a time; an error is told and the next run follows. */
export function repeating(
  everyMs: number,
  work: () => Promise<unknown>,
  onError: (error: Error) => void,
): { stop(): Promise<void> } {
  let stopped = false;
  let wake: (() => void) | undefined;
  const running = (async () => {
    while (!stopped) {
      await work().catch(onError);
      if (stopped) break;
      await new Promise<void>((resolve) => {
        const timer = setTimeout(resolve, everyMs);
        wake = () => {
          clearTimeout(timer);
          resolve();
        };
      });
    }
  })();
  return {
    async stop() {
      stopped = true;
      wake?.();
      await running;
    },
  };
}
