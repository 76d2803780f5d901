import { setTimeout as sleep } from "node:timers/promises";
import { afterEach, describe, expect, test } from "vitest";
import { seeded } from "../../../src/commands/backtest/seeded.ts";
import { until } from "../../support/until.ts";
import { BACKENDS } from "../support/backends.ts";
import { report } from "../support/report.ts";
import { LEASE_MS, SLOTS, type Stage, setStage } from "../support/stage.ts";
import { sendingNow, settled, settledOf, tally, untilAllDue } from "../support/tally.ts";

const KILLS = 8;
const DUE = 300;

describe.each(BACKENDS)("a worker that dies or stalls, queue on %s", (backend) => {
  let stage: Stage;
  afterEach(() => stage.clear());

  test("is killed again and again: nothing is lost, and no more is repeated than was being sent", async () => {
    stage = await setStage(backend);
    await stage.sink.behave({ kind: "accepts", afterMs: 60 });
    await stage.addRiders(DUE, { fromNowMs: 0, everyMs: 50 });
    const random = seeded(7);
    const workers = [stage.worker(), stage.worker()];
    let atKill: string[] = [];
    await until(() => stage.sink.taken.size > 0, 60_000);
    for (let kill = 0; kill < KILLS; kill += 1) {
      await sleep(400 + 1600 * random());
      const place = kill % 2;
      workers[place]?.signal("SIGKILL");
      await workers[place]?.ended;
      atKill = await sendingNow(stage);
      workers[place] = stage.worker();
    }
    const resumedMs = await settledOf(stage, atKill, LEASE_MS + 60_000);
    await untilAllDue(stage, DUE);
    await settled(stage, LEASE_MS + 30_000);
    const counted = await tally(stage);
    const note = `${resumedMs} ms from the last kill until what was being sent is settled`;
    report({ fault: "kill -9 at random", backend, tries: KILLS, ...counted, note });
    expect(counted).toMatchObject({ due: DUE, sent: DUE, failed: 0, lost: 0, strange: 0 });
    expect(counted.repeated).toBeLessThanOrEqual(KILLS * SLOTS);
    // Besides its lease it waits behind what came due meanwhile.
    expect(resumedMs).toBeLessThan(LEASE_MS + 30_000);
  });

  test("is killed between the server's taking a message and its noting that", async () => {
    const { worker, inFlight } = await heldAtTheServer();
    worker.signal("SIGKILL");
    await worker.ended;
    await stage.sink.behave({ kind: "accepts" });
    stage.worker();
    const resumedMs = await settled(stage, LEASE_MS + 30_000);
    const counted = await tally(stage);
    const note = `all sent ${resumedMs} ms after the kill; each repeat with the same Message-ID`;
    report({ fault: "kill -9 before marking", backend, tries: 1, ...counted, note });
    expect(counted).toMatchObject({ due: 40, sent: 40, failed: 0, lost: 0, strange: 0 });
    expect(repeatedIds()).toEqual(inFlight);
    expect(resumedMs).toBeLessThan(LEASE_MS + 10_000);
  });

  test("stalls past its lease: another goes on, and it hands nothing over once it is back", async () => {
    const { worker, inFlight } = await heldAtTheServer();
    worker.signal("SIGSTOP");
    await stage.sink.behave({ kind: "accepts" });
    stage.worker();
    const resumedMs = await settled(stage, LEASE_MS + 30_000);
    const before = await tally(stage);
    worker.signal("SIGCONT");
    await sleep(5_000);
    const counted = await tally(stage);
    const note = `all sent ${resumedMs} ms after it stalled; ${counted.repeated - before.repeated} more after it came back`;
    report({ fault: "SIGSTOP past the lease", backend, tries: 1, ...counted, note });
    expect(worker.isRunning).toBe(true);
    expect(counted).toEqual(before);
    expect(counted).toMatchObject({ due: 40, sent: 40, failed: 0, lost: 0, strange: 0 });
    expect(repeatedIds()).toEqual(inFlight);
    expect(resumedMs).toBeLessThan(LEASE_MS + 10_000);
  });

  /** A worker each of whose slots waits for the answer to a message that the server has taken. */
  async function heldAtTheServer() {
    stage = await setStage(backend);
    await stage.sink.behave({ kind: "accepts", afterMs: 2_500 });
    await stage.addRiders(40);
    const worker = stage.worker();
    await until(() => stage.sink.taken.size >= SLOTS, 60_000);
    return { worker, inFlight: [...stage.sink.taken.keys()].sort() };
  }

  function repeatedIds(): string[] {
    return [...stage.sink.taken].flatMap(([id, { length }]) => (length > 1 ? [id] : [])).sort();
  }
});
