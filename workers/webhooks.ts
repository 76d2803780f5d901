import { deliverWebhook } from "../src/application/webhooks/deliver-webhook.ts";
import type { FollowDeps } from "../src/application/webhooks/follow-events.ts";
import type { Measurements } from "./measurements.ts";
import type { MessageJob, MessageQueue } from "./queue.ts";

/** Woken at most in one go; the rest follows with the next tick. */
const WOKEN = 500;
/** One job goes on with the deliveries of its endpoint; then others have their turn. */
const IN_A_ROW = 100;

/** One beat: turns events into deliveries, and wakes the queue for those that may be tried. */
export async function tickWebhooks(deps: FollowDeps, queue: MessageQueue): Promise<void> {
  const now = await deps.outbox.time();
  while ((await deps.webhookOutbox.follow(now, deps.ids, null)) > 0);
  const waiting = await deps.webhookOutbox.waiting(now, WOKEN, null);
  if (waiting.length > 0) await queue.wake(waiting);
}

/** Makes the delivery of a job, and those to the same endpoint that wait behind it. */
export async function deliver(
  { accountId, messageId }: MessageJob,
  deps: FollowDeps,
  measured: Pick<Measurements, "attempted">,
): Promise<void> {
  let next: string | null = messageId;
  for (let count = 0; next !== null && count < IN_A_ROW; count += 1) {
    const now = await deps.outbox.time();
    const report = await deliverWebhook(accountId, next, now, deps);
    measured.attempted("webhook", report);
    if (report.result !== "sent") return;
    next = await deps.webhookOutbox.next(accountId, messageId, now);
  }
}
