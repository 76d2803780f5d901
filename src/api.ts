import { Redis } from "ioredis";
import { configured } from "./commands/configured.ts";
import { stopWithParent } from "./commands/parent.ts";
import { apiConfig } from "./config.ts";
import { connect, roleFault } from "./database/client.ts";
import { logTo } from "./log.ts";
import { buildService } from "./service.ts";

const CONNECTIONS = 20;
/** Between `/readyz` saying 503 and the first closed connection, so that no new work is sent here. */
const NOTICE_MS = 500;
const DRAIN_MS = 8_000;
/** Redis counts requests and does nothing else: one that is away or stands still must hold up none. */
const NO_WAITING = { enableOfflineQueue: false, commandTimeout: 100 };

const config = configured(apiConfig);
const log = logTo(config.logLevel, "api");
const onError = (error: Error) => log.error({ err: error }, "the API goes on after an error");

const connections = connect(config.databaseUrl, { connections: CONNECTIONS, onBroken: onError });
const redis = config.redisUrl ? new Redis(config.redisUrl, NO_WAITING) : undefined;
redis?.on("error", onError);
const { app, beginShutdown } = await buildService(
  {
    ...config,
    rates: { key: { requests: config.ratePerKey, seconds: 1 } },
    logger: log,
    ...(redis && { redis }),
  },
  connections,
  onError,
);
await refuseExemptRole();
await app.listen({ host: config.host, port: config.port });
log.info({ baseUrl: config.baseUrl }, "listening");

let stopping = false;
process.on("SIGTERM", stop);
process.on("SIGINT", stop);
stopWithParent(stop);

/** A database that is not up yet is waited for by `/readyz`; a wrong role is refused at once. */
async function refuseExemptRole(): Promise<void> {
  const fault = await roleFault(connections.pool).catch((error: Error) => {
    onError(error);
    return null;
  });
  if (fault === null) return;
  console.error(fault);
  process.exit(1);
}

function stop(): void {
  if (stopping) process.exit(1);
  stopping = true;
  beginShutdown();
  setTimeout(() => process.exit(1), DRAIN_MS).unref();
  setTimeout(() => {
    void (async () => {
      await app.close();
      redis?.disconnect();
      await connections.close();
      log.flush(() => process.exit(0));
    })();
  }, NOTICE_MS);
}
