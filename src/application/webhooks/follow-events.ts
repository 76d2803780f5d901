import { setTimeout as sleep } from "node:timers/promises";
import type { Instant } from "../../domain/calendar/plain-date.ts";
import { type DeliverDeps, deliverWebhook } from "./deliver-webhook.ts";
import type { WebhookOutbox } from "./ports.ts";

export interface FollowDeps extends DeliverDeps {
  webhookOutbox: WebhookOutbox;
}

const LOOK_AGAIN_MS = 20;

/**
 * Tells the endpoints of a sandbox of everything that has happened, and makes the deliveries. An
 * event shows once every older change is settled, those of other accounts too; that is waited for
 * until `limit`, by `performance.now()`.
 */
export async function followInSandbox(
  accountId: string,
  now: Instant,
  limit: number,
  deps: FollowDeps,
): Promise<void> {
  const { webhookOutbox } = deps;
  // What others go on writing meanwhile is for the next time, or this one would have no end.
  const end = await webhookOutbox.endOfLog();
  for (;;) {
    const read = await webhookOutbox.follow(now, deps.ids, accountId);
    if (!(await webhookOutbox.isBehind(accountId, end))) break;
    if (read > 0) continue;
    if (performance.now() >= limit) break;
    await sleep(LOOK_AGAIN_MS);
  }
  for (;;) {
    const waiting = await webhookOutbox.waiting(now, 100, accountId);
    if (waiting.length === 0) return;
    for (const { messageId } of waiting) await deliverWebhook(accountId, messageId, now, deps);
  }
}
