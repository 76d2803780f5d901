import { setTimeout as sleep } from "node:timers/promises";
import { afterEach, describe, expect, test } from "vitest";
import { seeded } from "../../../src/commands/backtest/seeded.ts";
import { BACKENDS } from "../support/backends.ts";
import { steadyPosting } from "../support/posting.ts";
import { type Program, requireRunning } from "../support/program.ts";
import { report } from "../support/report.ts";
import { LEASE_MS, SLOTS, type Stage, setStage } from "../support/stage.ts";
import { passRetryTime, settled, tally, untilAllDue } from "../support/tally.ts";

const MINUTES = Number(process.env.SOAK_MINUTES ?? 1);
const SEED = Number(process.env.SOAK_SEED ?? 1);
const WORKERS = 3;
const EVERY_MS = Number(process.env.SOAK_EVERY_MS ?? 80);

describe.each(BACKENDS)("everything goes wrong at random for minutes, queue on %s", (backend) => {
  let stage: Stage;
  const workers: Program[] = [];
  const happened: Record<string, number> = {};
  afterEach(() => stage.clear());

  test(
    "nothing is lost, and no more is repeated than was being sent",
    async () => {
      stage = await setStage(backend);
      await stage.sink.behave({ kind: "accepts", afterMs: 200 });
      const due = Math.round((MINUTES * 60_000) / EVERY_MS);
      await stage.addRiders(due, { fromNowMs: 0, everyMs: EVERY_MS });
      const api = await stage.api();
      const posting = await steadyPosting(api, 500);
      const apiBefore = api.memory();
      for (let n = 0; n < WORKERS; n += 1) workers.push(stage.worker());
      const random = seeded(SEED);
      const end = Date.now() + MINUTES * 60_000;
      while (Date.now() < end) {
        await sleep(500 + 3_500 * random());
        await somethingHappens(random);
      }
      await posting.stop();
      requireRunning(api);
      const apiAfter = api.memory();
      await untilAllDue(stage, due);
      await passRetryTime(stage);
      // A machine that is busy with other things may have fallen behind meanwhile.
      await settled(stage, LEASE_MS + 120_000 + MINUTES * 30_000);
      const counted = await tally(stage);
      const tries = Object.values(happened).reduce((sum, times) => sum + times, 0);
      const what = Object.entries(happened).map(([name, times]) => `${times} ${name}`);
      const mb = workers.map((worker) => worker.memory().toFixed(0)).join(", ");
      const note = `seed ${SEED}, ${MINUTES} min: ${what.join(", ")}; API ${apiBefore.toFixed(0)} to ${apiAfter.toFixed(0)} MB, workers ${mb} MB`;
      report({ fault: "soak", backend, tries, ...counted, note });
      expect(counted).toMatchObject({ due, lost: 0, failed: 0, strange: 0, sent: due });
      expect(counted.repeated).toBeLessThanOrEqual(tries * SLOTS);
    },
    MINUTES * 120_000 + 240_000,
  );

  async function somethingHappens(random: () => number): Promise<void> {
    const place = Math.floor(random() * WORKERS);
    const kinds = ["SIGKILL", "SIGTERM", "SIGSTOP", "sessions ended", "Redis flushed"] as const;
    const kind = kinds[Math.floor(random() * (backend === "redis" ? 5 : 4))] ?? "SIGKILL";
    happened[kind] = (happened[kind] ?? 0) + 1;
    if (kind === "Redis flushed") await stage.redis?.flush();
    else if (kind === "sessions ended") await endSessions();
    else await strike(place, kind, random);
  }

  async function strike(place: number, signal: NodeJS.Signals, random: () => number) {
    const worker = workers[place];
    if (!worker) return;
    worker.signal(signal);
    if (signal === "SIGSTOP") {
      // Now and then it stalls for longer than its lease.
      setTimeout(() => worker.signal("SIGCONT"), 1.5 * LEASE_MS * random());
      return;
    }
    // One that stands still hears of it later.
    worker.signal("SIGCONT");
    await worker.ended;
    workers[place] = stage.worker();
  }

  async function endSessions(): Promise<void> {
    await stage.owner.query(
      `select pg_terminate_backend(pid) from pg_stat_activity
       where datname = current_database() and usename = 'forewheel_app'`,
    );
  }
});
