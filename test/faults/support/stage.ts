import { randomBytes } from "node:crypto";
import { rmSync } from "node:fs";
import { join } from "node:path";
import pg from "pg";
import { freePort } from "../../../src/commands/free-port.ts";
import { freshDatabase } from "../../support/database.ts";
import { makeHome } from "../../support/home.ts";
import { until } from "../../support/until.ts";
import type { Backend } from "./backends.ts";
import { type OwnRedis, ownRedis } from "./own-redis.ts";
import { type Program, startProgram } from "./program.ts";
import { addRiders, type Pace } from "./riders.ts";
import { type SmtpSink, smtpSink } from "./smtp-sink.ts";

/** Seconds that the mail server may take to be reached: a lease lasts fifteen times as long. */
const SMTP_TIMEOUT_S = 1;
export const LEASE_MS = 15_000 * SMTP_TIMEOUT_S;
/** Messages that one worker sends at once. */
export const SLOTS = 8;

/** A database that a stage may use. */
export interface StageDatabase {
  readonly ownerUrl: string;
  readonly appUrl: string;
  drop(): Promise<void>;
}

export type RunningApi = Program & { baseUrl: string; operatorToken: string };

/** Real PostgreSQL, Redis and mail server, on which real workers and APIs run. */
export interface Stage {
  readonly backend: Backend;
  readonly sink: SmtpSink;
  /** Sessions of the database's owner, to look at rows. */
  readonly owner: pg.Pool;
  readonly ownerUrl: string;
  readonly redis: OwnRedis | undefined;
  addRiders(count: number, pace?: Pace): Promise<void>;
  worker(settings?: Record<string, string>, args?: readonly string[]): Program;
  /** An API that answers `/readyz` already. */
  api(): Promise<RunningApi>;
  /** An API that may still be waiting for what it needs. */
  startApi(): Promise<RunningApi>;
  clear(): Promise<void>;
}

export async function setStage(backend: Backend, given?: StageDatabase): Promise<Stage> {
  const database = given ?? (await freshDatabase());
  const home = makeHome();
  const redis = backend === "redis" ? await ownRedis(home) : undefined;
  const sink = await smtpSink();
  const owner = new pg.Pool({ connectionString: database.ownerUrl, max: 3 });
  owner.on("error", () => {});
  const programs: Program[] = [];
  const env = {
    APP_DATABASE_URL: database.appUrl,
    ...(redis && { REDIS_URL: redis.url }),
    SMTP_URL: sink.url,
    SMTP_TIMEOUT_SECONDS: String(SMTP_TIMEOUT_S),
    SIGNING_SECRET: randomBytes(24).toString("hex"),
    BASE_URL: "http://127.0.0.1:1",
    WORKER_STATE_FILE: join(home, "worker-state"),
  };
  const start = (path: string, settings: Record<string, string>, args?: readonly string[]) => {
    const program = startProgram(path, { ...env, ...settings }, args);
    programs.push(program);
    return program;
  };
  const startApi = async (): Promise<RunningApi> => {
    const port = String(await freePort());
    const operatorToken = randomBytes(24).toString("hex");
    const baseUrl = `http://127.0.0.1:${port}`;
    const settings = { PORT: port, BASE_URL: baseUrl, OPERATOR_TOKEN: operatorToken };
    return Object.assign(start("src/api.js", settings), { baseUrl, operatorToken });
  };
  return {
    ...{ backend, sink, owner, redis, ownerUrl: database.ownerUrl },
    addRiders: (count, pace) => addRiders(database.appUrl, owner, count, pace),
    worker: (settings = {}, args = []) => start("workers/main.js", settings, args),
    async api() {
      const api = await startApi();
      await until(() => isReady(api.baseUrl), 30_000).catch(() => {
        throw new Error(`The API is not ready: ${api.output().slice(-2000)}`);
      });
      return api;
    },
    startApi,
    async clear() {
      for (const program of programs) program.signal("SIGKILL");
      await Promise.all(programs.map(({ ended }) => ended));
      await sink.stop();
      await owner.end();
      await redis?.leave();
      await database.drop();
      rmSync(home, { recursive: true });
    },
  };
}

/** Whether `/readyz` answers 200. */
export async function isReady(baseUrl: string): Promise<boolean> {
  return fetch(`${baseUrl}/readyz`).then(
    ({ ok }) => ok,
    () => false,
  );
}
