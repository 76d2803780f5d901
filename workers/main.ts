import { pino } from "pino";
import { v7 } from "uuid";
import { Links } from "../src/application/links.ts";
import { type SendDeps, sendMessage } from "../src/application/mail/send-message.ts";
import { configured } from "../src/commands/configured.ts";
import { stopWithParent } from "../src/commands/parent.ts";
import { workerConfig } from "../src/config.ts";
import { connect, roleFault } from "../src/database/client.ts";
import { outboxOn } from "../src/database/outbox.ts";
import { databaseOn } from "../src/database/tenancy.ts";
import { mailDomain } from "../src/mail-domain.ts";
import { longestSendMs, smtpSender } from "../src/outbound/smtp-sender.ts";
import { mailRenderer } from "../src/render/mail/renderer.ts";
import { messageQueue } from "./queue.ts";
import { repeating, tick } from "./tick.ts";

const TICK_MS = 1_000;
const HOUR_MS = 3_600_000;
const CONCURRENCY = 8;
const CONNECTIONS = 10;
/** A stop waits this long for messages that are being sent; their leases outlast a kill. */
const DRAIN_MS = 8_000;

const config = configured(workerConfig);
const log = pino({ level: config.logLevel, name: "worker" });
const onError = (error: Error) => log.error({ err: error }, "the worker goes on after an error");

const connections = connect(config.databaseUrl, { connections: CONNECTIONS, onBroken: onError });
const smtp = { url: config.smtpUrl, from: config.mailFrom, timeoutMs: config.smtpTimeoutMs };
const deps: SendDeps = {
  database: databaseOn(connections),
  outbox: outboxOn(connections),
  sender: smtpSender(smtp),
  renderer: mailRenderer,
  links: new Links(config.signingSecret, config.baseUrl),
  ids: v7,
  clock: Date.now,
  mailDomain: mailDomain(config.mailFrom.address),
  leaseMs: 2 * longestSendMs(smtp),
  longestSendMs: longestSendMs(smtp),
};

await refuseExemptRole();
const queue = messageQueue(config, onError);
queue.work(async ({ accountId, messageId }) => {
  const result = await sendMessage(accountId, messageId, await deps.outbox.time(), deps);
  log.info({ accountId, messageId, result }, "message handled");
}, CONCURRENCY);
const ticking = repeating(TICK_MS, () => tick(deps, queue), onError);
const tidying = repeating(HOUR_MS, () => deps.outbox.forgetAnswers(), onError);
log.info({ queue: config.redisUrl ? "redis" : "postgresql" }, "worker started");

let stopping = false;
process.on("SIGTERM", stop);
process.on("SIGINT", stop);
stopWithParent(stop);

/** The database may come up after the worker does: start order must not matter. */
async function refuseExemptRole(): Promise<void> {
  for (;;) {
    try {
      const fault = await roleFault(connections.pool);
      if (fault === null) return;
      console.error(fault);
      process.exit(1);
    } catch (error) {
      onError(error as Error);
      await new Promise((resolve) => setTimeout(resolve, TICK_MS));
    }
  }
}

/** Once: lets running messages end. A second time: at once; leases hand the rest to another worker. */
function stop(): void {
  if (stopping) process.exit(1);
  stopping = true;
  setTimeout(() => process.exit(1), DRAIN_MS).unref();
  void (async () => {
    await ticking.stop();
    await tidying.stop();
    await queue.close(false);
    await connections.close();
    log.info("worker stopped");
    process.exit(0);
  })();
}
