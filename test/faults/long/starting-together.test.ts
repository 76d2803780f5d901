import { randomBytes } from "node:crypto";
import { setTimeout as sleep } from "node:timers/promises";
import pg from "pg";
import { afterEach, describe, expect, inject, test } from "vitest";
import { migrate } from "../../../src/commands/migrate.ts";
import { until } from "../../support/until.ts";
import { BACKENDS } from "../support/backends.ts";
import { ownPostgres } from "../support/own-postgres.ts";
import { requireRunning } from "../support/program.ts";
import { report } from "../support/report.ts";
import { isReady, type Stage, type StageDatabase, setStage } from "../support/stage.ts";
import { settled, tally } from "../support/tally.ts";

/** Ten processes on few cores are slow: the mail server is not down for it. */
const PATIENT = { SMTP_TIMEOUT_SECONDS: "10" };

async function asOwner(sql: string): Promise<void> {
  const client = new pg.Client({ connectionString: inject("ownerUrl") });
  await client.connect();
  try {
    await client.query(sql);
  } finally {
    await client.end();
  }
}

/** A database without a single table. */
async function emptyDatabase(): Promise<StageDatabase> {
  const name = `test_${randomBytes(6).toString("hex")}`;
  await asOwner(`create database ${name}`);
  const owner = new URL(inject("ownerUrl"));
  owner.pathname = `/${name}`;
  const app = new URL(owner);
  app.username = "forewheel_app";
  app.password = inject("appPassword");
  return {
    ownerUrl: owner.href,
    appUrl: app.href,
    drop: () => asOwner(`drop database ${name} with (force)`),
  };
}

/** Starts a worker and an API, and waits until both wait for their database. */
async function startWaiting(stage: Stage) {
  const worker = stage.worker();
  const api = await stage.startApi();
  const answer = () => fetch(`${api.baseUrl}/readyz`).then(({ status }) => status);
  await until(async () => (await answer().catch(() => 0)) === 503, 30_000);
  await until(() => worker.output().includes("the worker goes on after an error"), 30_000);
  await sleep(2_000);
  requireRunning(worker, api);
  return { worker, api };
}

describe("parts that start together", () => {
  let stage: Stage;
  afterEach(() => stage.clear());

  test.each(BACKENDS)(
    "ten workers send each message once, queue on %s",
    async (backend) => {
      stage = await setStage(backend);
      await stage.addRiders(60);
      const workers = Array.from({ length: 10 }, () => stage.worker(PATIENT));
      await settled(stage, 150_000);
      await sleep(1_000);
      const counted = await tally(stage);
      report({
        fault: "ten workers starting together",
        ...{ backend, tries: 10, ...counted },
        note: `${workers.filter(({ isRunning }) => isRunning).length} of 10 run on`,
      });
      expect(counted).toMatchObject({ due: 60, sent: 60, lost: 0, repeated: 0, strange: 0 });
      expect(workers.every(({ isRunning }) => isRunning)).toBe(true);
    },
    180_000,
  );

  test("API and worker before the migration, two migrators at once: each migration once, then all goes", async () => {
    const database = await emptyDatabase();
    stage = await setStage("postgresql", database);
    const { worker, api } = await startWaiting(stage);
    const password = inject("appPassword");
    const applied = await Promise.all([
      migrate(database.ownerUrl, password),
      migrate(database.ownerUrl, password),
    ]);
    const names = applied.flat();
    expect(new Set(names).size).toBe(names.length);
    expect(names.length).toBeGreaterThan(1);
    await until(() => isReady(api.baseUrl), 15_000);
    await stage.addRiders(1);
    await settled(stage, 30_000);
    requireRunning(worker, api);
    const counted = await tally(stage);
    report({
      fault: "two migrators, started after API and worker",
      ...{ backend: "postgresql", tries: 2, ...counted },
      note: `${names.length} migrations, each applied once`,
    });
    expect(counted).toMatchObject({ due: 1, sent: 1, lost: 0, repeated: 0 });
  }, 120_000);

  test.each(BACKENDS)(
    "API and worker before PostgreSQL: they wait for it, then all goes, queue on %s",
    async (backend) => {
      const database = await ownPostgres();
      stage = await setStage(backend, database);
      await stage.addRiders(5);
      await database.leave();
      const { worker, api } = await startWaiting(stage);
      await database.comeBack();
      await until(() => isReady(api.baseUrl), 15_000);
      await settled(stage, 30_000);
      requireRunning(worker, api);
      const counted = await tally(stage);
      report({
        fault: "API and worker started before PostgreSQL",
        ...{ backend, tries: 1, ...counted },
        note: "both waited",
      });
      expect(counted).toMatchObject({ due: 5, sent: 5, lost: 0, repeated: 0, strange: 0 });
    },
    120_000,
  );
});
