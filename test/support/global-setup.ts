import { randomBytes } from "node:crypto";
import { existsSync, readdirSync, readFileSync, rmSync } from "node:fs";
import { tmpdir } from "node:os";
import { join } from "node:path";
import { pathToFileURL } from "node:url";
import pg from "pg";
import type { TestProject } from "vitest/node";
import { start, stopLeftServer } from "../../src/commands/embedded-postgres.ts";
import { migrate } from "../../src/commands/migrate.ts";
import { compilePrograms, folderInProject } from "./compile-commands.ts";
import { HOME_PREFIX, makeHome } from "./home.ts";
import { testRedis } from "./redis.ts";

declare module "vitest" {
  interface ProvidedContext {
    /** A superuser's URL of a database that no test changes. */
    ownerUrl: string;
    /** Password of the role forewheel_app. */
    appPassword: string;
    /** Name of the migrated database that each test file's own is cloned from. */
    template: string;
    /** Absent where this machine has no Redis. */
    redisUrl: string | undefined;
    /** The folder of the compiled programs, laid out as `dist`. */
    programs: string;
    /** The compiled thread that works beside the event loop. */
    threadProgram: string;
  }
}

interface Service {
  stop(): Promise<void>;
  /** Ends it without waiting. */
  kill(): void;
}

const TEMPLATE = "forewheel_template";

/** Starts PostgreSQL, and Redis where it can be had, once for a whole run; its answer stops them. */
export default async function setUp(project: TestProject): Promise<() => Promise<void>> {
  await sweep();
  const home = makeHome();
  const running: Service[] = [];
  const tearDown = async () => {
    for (const service of running.splice(0).reverse()) await service.stop();
    rmSync(home, { recursive: true, force: true });
  };
  killWithVitest(running, home);
  try {
    const server = await start(join(home, "postgres"), { fast: true });
    running.push({
      stop: () => server.stop(true),
      kill: () => process.kill(server.pid, "SIGQUIT"),
    });
    const redis = await testRedis(home);
    if (redis !== undefined) running.push(redis);
    else if (process.env.FOREWHEEL_NEED_REDIS === "1") {
      throw new Error("The Redis half must run here: install redis-server, or set REDIS_URL.");
    }
    const compiled = folderInProject();
    const remove = () => rmSync(compiled, { recursive: true, force: true });
    running.push({ stop: async () => remove(), kill: remove });
    compilePrograms(compiled);
    project.provide("programs", compiled);
    const thread = join(compiled, "src/http/beside/thread.js");
    project.provide("threadProgram", pathToFileURL(thread).href);
    const appPassword = randomBytes(16).toString("base64url");
    await makeTemplate(server.ownerUrl, appPassword);
    project.provide("ownerUrl", server.ownerUrl);
    project.provide("appPassword", appPassword);
    project.provide("template", TEMPLATE);
    project.provide("redisUrl", redis?.url);
  } catch (error) {
    await tearDown();
    throw error;
  }
  return tearDown;
}

/** On a signal Vitest ends at once, without a tear-down, and there is no time left to wait for anything. */
function killWithVitest(running: readonly Service[], home: string): void {
  process.once("exit", () => {
    if (running.length === 0) return;
    for (const service of running) service.kill();
    rmSync(home, { recursive: true, force: true, maxRetries: 10, retryDelay: 100 });
  });
  process.once("SIGINT", () => process.exit(130)).once("SIGTERM", () => process.exit(130));
}

async function makeTemplate(ownerUrl: string, appPassword: string): Promise<void> {
  const client = new pg.Client({ connectionString: ownerUrl });
  await client.connect();
  try {
    await client.query(`create database ${TEMPLATE}`);
    const url = new URL(ownerUrl);
    url.pathname = `/${TEMPLATE}`;
    await migrate(url.href, appPassword);
    // A template that somebody is connected to cannot be cloned.
    await client.query(`alter database ${TEMPLATE} with is_template true allow_connections false`);
  } finally {
    await client.end();
  }
}

/** Clears away what a run that was killed has left. */
async function sweep(): Promise<void> {
  for (const name of readdirSync(tmpdir())) {
    const home = join(tmpdir(), name);
    const owner = join(home, "owner.pid");
    if (!name.startsWith(HOME_PREFIX) || !existsSync(owner)) continue;
    if (isAlive(Number(readFileSync(owner, "utf8")))) continue;
    await stopLeftServer(join(home, "postgres"));
    stopLeftRedis(join(home, "redis.pid"));
    rmSync(home, { recursive: true, force: true });
  }
}

function isAlive(pid: number): boolean {
  try {
    process.kill(pid, 0);
    return true;
  } catch (error) {
    return (error as NodeJS.ErrnoException).code === "EPERM";
  }
}

function stopLeftRedis(pidFile: string): void {
  if (!existsSync(pidFile)) return;
  const pid = Number(readFileSync(pidFile, "utf8"));
  const commandLine = `/proc/${pid}/cmdline`;
  // The number may be another program's by now.
  if (!existsSync(commandLine) || !readFileSync(commandLine, "utf8").includes("redis-server")) {
    return;
  }
  process.kill(pid, "SIGTERM");
}
