import { Redis } from "ioredis";
import { freePort } from "../../../src/commands/free-port.ts";
import { endRedis, launchRedis, redisUrl } from "../../support/redis.ts";

/** A Redis that a test may take away and bring back on the same port, empty. */
export interface OwnRedis {
  readonly url: string;
  /** Forgets everything that it holds. */
  flush(): Promise<void>;
  leave(): Promise<void>;
  comeBack(): Promise<void>;
  /** Stands still: connections stay open, nothing is answered. */
  stall(): void;
  goOn(): void;
}

export async function ownRedis(home: string): Promise<OwnRedis> {
  const port = await freePort();
  let server = await launchRedis(home, port);
  return {
    url: redisUrl(port),
    async flush() {
      const client = new Redis(redisUrl(port));
      await client.flushall();
      client.disconnect();
    },
    leave: () => endRedis(server),
    async comeBack() {
      server = await launchRedis(home, port);
    },
    stall: () => void server.kill("SIGSTOP"),
    goOn: () => void server.kill("SIGCONT"),
  };
}
