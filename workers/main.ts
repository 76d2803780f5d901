import { Redis } from "ioredis";
import { uuidv7 } from "uuidv7";
import { type AuditDeps, auditPlans } from "../src/application/audit.ts";
import { Links } from "../src/application/links.ts";
import { type SendDeps, sendMessage } from "../src/application/mail/send-message.ts";
import type { SweepDeps } from "../src/application/mail/sweep.ts";
import type { FollowDeps } from "../src/application/webhooks/follow-events.ts";
import { WebhookSecrets } from "../src/application/webhooks/webhook-secrets.ts";
import { configured } from "../src/commands/configured.ts";
import { stopWithParent } from "../src/commands/parent.ts";
import { workerConfig } from "../src/config.ts";
import { auditStoreOn } from "../src/database/audit.ts";
import { connect } from "../src/database/client.ts";
import { outboxOn } from "../src/database/outbox.ts";
import { databaseOn } from "../src/database/tenancy.ts";
import { webhookOutboxOn } from "../src/database/webhook-outbox.ts";
import { positionStoreOn } from "../src/database/worker-position.ts";
import { logTo } from "../src/log.ts";
import { mailDomain } from "../src/mail-domain.ts";
import { signWith } from "../src/outbound/sign-webhook.ts";
import { longestSendMs, smtpSender } from "../src/outbound/smtp-sender.ts";
import { LONGEST_DELIVERY_MS, webhookSender } from "../src/outbound/webhook-sender.ts";
import { mailRenderer } from "../src/render/mail/renderer.ts";
import { guardOf } from "./guard.ts";
import { measurements } from "./measurements.ts";
import { fileMemory, placeOf, redisMemory } from "./position-memory.ts";
import { messageQueue } from "./queue.ts";
import { releaseAsked, releaseHold } from "./release-hold.ts";
import { repeating } from "./repeating.ts";
import { tick } from "./tick.ts";
import { untilMigrated } from "./until-migrated.ts";
import { watchServer } from "./watch.ts";
import { deliver, tickWebhooks } from "./webhooks.ts";

const TICK_MS = 1_000;
const HOUR_MS = 3_600_000;
const CONCURRENCY = 8;
const DELIVERIES = 8;
const CONNECTIONS = 10;
/** A stop waits this long for messages that are being sent; their leases outlast a kill. */
const DRAIN_MS = 8_000;
/** What Redis remembers is asked at each beat, which must not wait for a Redis that is away. */
const AT_ONCE = { enableOfflineQueue: false, maxRetriesPerRequest: 0, commandTimeout: 500 };

const config = configured(workerConfig);
const log = logTo(config.logLevel, "worker");
const onError = (error: Error) => {
  measured.fault();
  log.error({ err: error }, "the worker goes on after an error");
};

const connections = connect(config.databaseUrl, { connections: CONNECTIONS, onBroken: onError });
const smtp = { url: config.smtpUrl, from: config.mailFrom, timeoutMs: config.smtpTimeoutMs };
const deps: SendDeps & SweepDeps & AuditDeps & FollowDeps = {
  database: databaseOn(connections),
  outbox: outboxOn(connections),
  audit: auditStoreOn(connections),
  sender: smtpSender(smtp),
  renderer: mailRenderer,
  links: new Links(config.signingSecret, config.baseUrl),
  ids: uuidv7,
  clock: Date.now,
  mailDomain: mailDomain(config.mailFrom.address),
  leaseMs: 2 * longestSendMs(smtp),
  longestSendMs: longestSendMs(smtp),
  webhookOutbox: webhookOutboxOn(connections),
  webhookSender: webhookSender({ allowPrivate: config.webhookAllowPrivate }),
  sign: signWith(new WebhookSecrets(config.signingSecret)),
  webhookLeaseMs: 2 * LONGEST_DELIVERY_MS,
  longestDeliveryMs: LONGEST_DELIVERY_MS,
  onFault(fault, vehicleId) {
    measured.fault();
    log.error({ err: fault, vehicleId }, "this machine could not be planned; it is put off");
  },
};
const measured = measurements(async () => deps.outbox.health(await deps.outbox.time()));
const redis = config.redisUrl ? new Redis(config.redisUrl, AT_ONCE) : undefined;
redis?.on("error", onError);
const place = placeOf(config.databaseUrl);
const memories = [
  fileMemory(config.stateFile, place),
  ...(redis ? [redisMemory(redis, place)] : []),
];
const position = positionStoreOn(connections);
const guard = guardOf(position, memories, (sentence) => log.error(sentence));

/** What is to be ended at a stop, the last one first. */
const started: (() => unknown)[] = [() => connections.close(), () => redis?.disconnect()];
let stopping = false;
process.on("SIGTERM", stop);
process.on("SIGINT", stop);
stopWithParent(stop);

await release();
const beat = { last: performance.now() };
const watch = watchServer({
  measured,
  lastBeat: () => beat.last,
  ready: async () => !stopping && !(await deps.outbox.health(Date.now())).onHold,
});
started.push(() => watch.close());
if (config.port !== undefined) watch.listen(config.port, config.host);
await untilMigrated(connections.pool, () => guard.onHold(), onError);
const queue = messageQueue(config, onError);
started.push(() => queue.close(false));
queue.work(async ({ accountId, messageId, probe = false }) => {
  const now = await deps.outbox.time();
  const { fault, ...report } = await sendMessage(accountId, messageId, now, deps, probe);
  measured.attempted("mail", report);
  if (report.result === "sent") guard.sent();
  log.info({ accountId, messageId, ...report }, "message handled");
  if (fault !== undefined) {
    measured.fault();
    log.error({ err: fault, messageId }, "the message could not be made");
  }
}, CONCURRENCY);
const deliveries = messageQueue(config, onError, "deliveries");
started.push(() => deliveries.close(false));
deliveries.work((job) => deliver(job, deps, measured), DELIVERIES);
const tidying = repeating(HOUR_MS, hourly, onError);
started.push(() => tidying.stop());
const ticking = repeating(TICK_MS, oneBeat, onError);
started.push(() => ticking.stop());
log.info({ queue: config.redisUrl ? "redis" : "postgresql" }, "worker started");

async function oneBeat(): Promise<void> {
  const begun = performance.now();
  try {
    await tick(deps, queue, guard);
    if (!(await guard.onHold())) await tickWebhooks(deps, deliveries);
  } finally {
    beat.last = performance.now();
    measured.ticked((beat.last - begun) / 1000);
  }
}

async function hourly(): Promise<void> {
  await deps.outbox.forgetExpired();
  const found = await auditPlans(await deps.outbox.time(), deps);
  if (found) log.info(found, "the plans were audited");
}

/** With --release-hold on the command line the process does that alone, and ends. */
async function release(): Promise<void> {
  try {
    const asked = releaseAsked(process.argv.slice(2));
    if (asked === null) return;
    console.log(await releaseHold(asked.sentUntil, position, memories));
    process.exit(0);
  } catch (error) {
    console.error((error as Error).message);
    process.exit(1);
  }
}

/** Once: lets running messages end. A second time: at once; leases hand the rest to another worker. */
function stop(): void {
  if (stopping) process.exit(1);
  stopping = true;
  setTimeout(() => process.exit(1), DRAIN_MS).unref();
  void (async () => {
    for (const end of started.reverse()) await end();
    log.info("worker stopped");
    log.flush(() => process.exit(0));
  })();
}
