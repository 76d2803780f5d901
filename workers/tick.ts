import { type SweepDeps, sweep } from "../src/application/mail/sweep.ts";
import type { Guard } from "./guard.ts";
import type { MessageQueue } from "./queue.ts";

/** Woken at most in one go; the rest follows with the next tick. */
const WOKEN = 1000;

/**
 * One beat of the worker: plans again what is to be planned, gathers reminders that are due into
 * messages, and wakes the queue for every message that waits and that nobody holds. What was lost
 * between the row and the queue is found here again, so that losing the queue loses nothing. While a
 * restored copy holds the place of the database, nothing of this is done.
 */
export async function tick(
  deps: SweepDeps,
  queue: MessageQueue,
  guard: Pick<Guard, "onHold" | "step">,
): Promise<void> {
  if (await guard.onHold()) return;
  const now = await deps.outbox.time();
  while ((await sweep(now, null, deps)) > 0);
  const waiting = await deps.outbox.waiting("mail", now, WOKEN, null);
  if (waiting.length > 0) await queue.wake(waiting);
  const probe = await deps.outbox.takeProbe();
  if (probe) await queue.wake([{ ...probe, probe: true }]);
  await guard.step();
}
