import { setTimeout as sleep } from "node:timers/promises";
import { afterEach, describe, expect, test } from "vitest";
import { until } from "../../support/until.ts";
import { BACKENDS } from "../support/backends.ts";
import { report } from "../support/report.ts";
import { LEASE_MS, type Stage, setStage } from "../support/stage.ts";
import { settled, tally } from "../support/tally.ts";

describe.each(BACKENDS)("a worker that is told to stop twice, queue on %s", (backend) => {
  let stage: Stage;
  afterEach(() => stage.clear());

  test("ends at once when it is told a second time, and nothing is lost", async () => {
    stage = await setStage(backend);
    await stage.sink.behave({ kind: "accepts", afterMs: 2_500 });
    await stage.addRiders(40);
    const worker = stage.worker();
    await until(() => stage.sink.taken.size >= 8, 60_000);
    worker.signal("SIGTERM");
    await sleep(300);
    const told = Date.now();
    worker.signal("SIGTERM");
    expect(await worker.ended).toBe(1);
    const exitMs = Date.now() - told;
    await stage.sink.behave({ kind: "accepts" });
    stage.worker();
    const resumedMs = await settled(stage, LEASE_MS + 15_000);
    const counted = await tally(stage);
    report({
      fault: "SIGTERM twice",
      backend,
      tries: 1,
      ...counted,
      note: `exit after ${exitMs} ms, all sent ${resumedMs} ms later`,
    });
    expect(exitMs).toBeLessThan(1_000);
    expect(counted).toMatchObject({ due: 40, sent: 40, lost: 0, strange: 0 });
    expect(counted.repeated).toBeLessThanOrEqual(8);
    expect(resumedMs).toBeLessThan(LEASE_MS + 10_000);
  }, 60_000);
});
