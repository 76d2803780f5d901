import { setTimeout as sleep } from "node:timers/promises";
import { afterEach, describe, expect, test } from "vitest";
import { until } from "../../support/until.ts";
import { BACKENDS } from "../support/backends.ts";
import { type OwnPostgres, ownPostgres } from "../support/own-postgres.ts";
import { type Posting, steadyPosting } from "../support/posting.ts";
import { type Program, requireRunning } from "../support/program.ts";
import { report } from "../support/report.ts";
import { isReady, LEASE_MS, SLOTS, type Stage, setStage } from "../support/stage.ts";
import { passRetryTime, settled, tally, untilAllDue } from "../support/tally.ts";

const DUE = 300;
const AWAY_MS = 10_000;

describe.each(BACKENDS)("PostgreSQL goes under load, queue on %s", (backend) => {
  let stage: Stage;
  let postgres: OwnPostgres;
  afterEach(() => stage.clear());

  test("all sessions are ended: no process dies, nothing acknowledged is lost", async () => {
    const { api, worker, posting } = await underLoad();
    const ended: number[] = [];
    for (let time = 0; time < 5; time += 1) {
      await sleep(1_000);
      ended.push(await postgres.endSessions());
    }
    const { recoveredMs, note, counted } = await afterwards(api, worker, posting);
    report({
      fault: "PostgreSQL's sessions ended",
      backend,
      tries: 5,
      ...counted,
      note: `${ended.join(", ")} sessions; ${note}`,
    });
    expect(recoveredMs).toBeLessThan(5_000);
    expect(counted.repeated).toBeLessThanOrEqual(5 * SLOTS);
  });

  test.each([
    ["is restarted", false, 0],
    ["crashes", true, 0],
    ["is gone for 10 s", false, AWAY_MS],
  ] as const)(
    "it %s: no process dies, nothing acknowledged is lost",
    async (what, crash, awayMs) => {
      const { api, worker, posting } = await underLoad();
      await postgres.leave(crash);
      const left = Date.now();
      let refusedMs = awayMs === 0 ? 0 : Number.POSITIVE_INFINITY;
      while (Date.now() < left + awayMs) {
        if (refusedMs > awayMs && !(await isReady(api.baseUrl))) refusedMs = Date.now() - left;
        await sleep(50);
      }
      await postgres.comeBack();
      const { recoveredMs, note, counted } = await afterwards(api, worker, posting);
      const unready = awayMs === 0 ? "" : `/readyz 503 after ${refusedMs} ms; `;
      report({ fault: `PostgreSQL ${what}`, backend, tries: 1, ...counted, note: unready + note });
      expect(refusedMs).toBeLessThan(5_000);
      expect(recoveredMs).toBeLessThan(5_000);
      expect(counted.repeated).toBeLessThanOrEqual(SLOTS);
    },
  );

  /** Readings are posted and reminders sent, and some of both have gone well. */
  async function underLoad() {
    postgres = await ownPostgres();
    stage = await setStage(backend, postgres);
    await stage.sink.behave({ kind: "accepts", afterMs: 50 });
    const api = await stage.api();
    const posting = await steadyPosting(api, 50);
    await stage.addRiders(DUE, { fromNowMs: 0, everyMs: 50 });
    const worker = stage.worker();
    await until(() => stage.sink.taken.size > 40, 60_000);
    return { api, worker, posting };
  }

  /** Counts once everything has settled, and fails where something acknowledged is missing. */
  async function afterwards(api: Program & { baseUrl: string }, worker: Program, posting: Posting) {
    const back = Date.now();
    await until(() => isReady(api.baseUrl)).catch(() => {});
    requireRunning(api, worker);
    const recoveredMs = Date.now() - back;
    const sentBefore = stage.sink.taken.size;
    await until(() => stage.sink.taken.size > sentBefore, LEASE_MS + 10_000).catch(() => {});
    requireRunning(api, worker);
    const mailedMs = Date.now() - back;
    await sleep(3_000);
    await posting.stop();
    await untilAllDue(stage, DUE);
    await passRetryTime(stage);
    await settled(stage, LEASE_MS + 60_000);
    requireRunning(api, worker);
    const counted = await tally(stage);
    const acknowledged = posting.posted.filter(({ status }) => status === 201);
    const missing = await missingOf(acknowledged.map(({ externalId }) => externalId));
    const after = posting.posted.filter(({ begunAt }) => begunAt > back + 5_000);
    expect(missing).toBe(0);
    expect(after.filter(({ status }) => status !== 201)).toEqual([]);
    expect(counted).toMatchObject({ due: DUE, sent: DUE, failed: 0, lost: 0, strange: 0 });
    const failed = posting.posted.length - acknowledged.length;
    const note = `ready after ${recoveredMs} ms, mail after ${mailedMs} ms; ${acknowledged.length} posts acknowledged, ${missing} missing, ${failed} refused`;
    return { recoveredMs, note, counted };
  }

  async function missingOf(externalIds: string[]): Promise<number> {
    const { rows } = await stage.owner.query<{ n: number }>(
      `select count(*)::int as n from unnest($1::text[]) as posted (id)
       where not exists (select from reading where external_id = posted.id)`,
      [externalIds],
    );
    return rows[0]?.n ?? Number.NaN;
  }
});
