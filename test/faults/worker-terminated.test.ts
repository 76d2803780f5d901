import { afterEach, describe, expect, test } from "vitest";
import { until } from "../support/until.ts";
import { BACKENDS } from "./support/backends.ts";
import { report } from "./support/report.ts";
import { type Stage, setStage } from "./support/stage.ts";
import { settled, tally } from "./support/tally.ts";

describe.each(BACKENDS)("a worker that is told to stop under load, queue on %s", (backend) => {
  let stage: Stage;
  afterEach(() => stage.clear());

  test("lets what it is sending end, within 10 s, and the next one goes on", async () => {
    stage = await setStage(backend);
    await stage.sink.behave({ kind: "accepts", afterMs: 200 });
    await stage.addRiders(120);
    const worker = stage.worker();
    await until(() => stage.sink.taken.size > 20, 20_000);
    const told = Date.now();
    worker.signal("SIGTERM");
    expect(await worker.ended).toBe(0);
    const exitMs = Date.now() - told;
    const tookBefore = stage.sink.taken.size;
    await stage.sink.behave({ kind: "accepts" });
    stage.worker();
    await settled(stage, 20_000);
    const counted = await tally(stage);
    report({
      fault: "SIGTERM under load",
      backend,
      tries: 1,
      ...counted,
      note: `exit after ${exitMs} ms, ${tookBefore} sent before`,
    });
    expect(exitMs).toBeLessThan(10_000);
    expect(tookBefore).toBeLessThan(120);
    expect(counted).toMatchObject({ due: 120, sent: 120, lost: 0, repeated: 0, strange: 0 });
  });
});
