import { type ChildProcess, spawn, spawnSync } from "node:child_process";
import { once } from "node:events";
import { Redis } from "ioredis";
import { freePort } from "../../src/commands/free-port.ts";

export interface TestRedis {
  readonly url: string;
  stop(): Promise<void>;
  /** Ends one of its own without waiting. */
  kill(): void;
}

/**
 * The Redis of this run: the one that `REDIS_URL` names, or else one of its own where
 * `redis-server` is on the path. It keeps nothing and listens on 127.0.0.1 alone.
 * @throws Error where a Redis that should be there does not answer
 */
export async function testRedis(folder: string): Promise<TestRedis | undefined> {
  const given = process.env.REDIS_URL;
  if (given !== undefined && given !== "") {
    await untilItAnswers(given);
    return { url: given, stop: async () => {}, kill: () => {} };
  }
  if (!hasRedisProgram()) return undefined;
  const port = await freePort();
  const server = await launchRedis(folder, port);
  return {
    url: redisUrl(port),
    stop: () => endRedis(server),
    kill: () => {
      server.kill("SIGKILL");
    },
  };
}

export function hasRedisProgram(): boolean {
  return spawnSync("redis-server", ["--version"]).status === 0;
}

export function redisUrl(port: number): string {
  return `redis://127.0.0.1:${port}`;
}

/** Starts a Redis that keeps nothing, and waits until it answers. */
export async function launchRedis(folder: string, port: number): Promise<ChildProcess> {
  const server = spawn(
    "redis-server",
    ["--port", String(port), "--bind", "127.0.0.1", "--save", "", "--appendonly", "no"].concat([
      ...["--dir", folder, "--pidfile", `${folder}/redis.pid`],
      ...["--maxmemory-policy", "noeviction"],
    ]),
    { stdio: "ignore" },
  );
  await untilItAnswers(redisUrl(port));
  return server;
}

export async function endRedis(server: ChildProcess): Promise<void> {
  if (server.exitCode !== null || server.signalCode !== null) return;
  server.kill("SIGTERM");
  await once(server, "exit");
}

async function untilItAnswers(url: string): Promise<void> {
  const client = new Redis(url, {
    lazyConnect: true,
    maxRetriesPerRequest: 50,
    retryStrategy: () => 100,
  });
  client.on("error", () => {});
  try {
    await client.ping();
  } catch (cause) {
    throw new Error(`Redis at ${url} does not answer.`, { cause });
  } finally {
    client.disconnect();
  }
}
