import { setTimeout as sleep } from "node:timers/promises";
import { afterEach, describe, expect, test } from "vitest";
import { until } from "../../support/until.ts";
import { BACKENDS } from "../support/backends.ts";
import { report } from "../support/report.ts";
import { type Stage, setStage } from "../support/stage.ts";
import { settled, tally, untilAllDue } from "../support/tally.ts";

const DOWN_MS = 75_000;
const PROBE_MS = 30_000;
const DUE = 120;

describe.each(BACKENDS)("a mail server that is down for long, queue on %s", (backend) => {
  let stage: Stage;
  afterEach(() => stage.clear());

  test("is tried once in 30 s by all workers together; once it is back, all is sent once", async () => {
    stage = await setStage(backend);
    await stage.sink.behave({ kind: "hangsAtGreeting" });
    await stage.addRiders(DUE, { fromNowMs: -20_000, everyMs: 500 });
    const workers = [stage.worker(), stage.worker()];
    await until(isDown, 20_000);
    await sleep(2_000);
    const begun = stage.sink.connected.length;
    await sleep(DOWN_MS);
    const probes = stage.sink.connected.length - begun;
    const attempts = await mostAttempts();
    // The outage lasts an hour by the rows, so that what depends on its length shows.
    await stage.owner.query("update relay set down_since = down_since - interval '1 hour'");
    await stage.sink.behave({ kind: "accepts" });
    const back = Date.now();
    await untilAllDue(stage, DUE);
    await settled(stage, 120_000);
    const resumedMs = Date.now() - back;
    const counted = await tally(stage);
    const note = `${begun} connections before all held back, then ${probes} in ${DOWN_MS / 1000} s; ${attempts} attempts counted; all sent ${resumedMs} ms after its return`;
    report({ fault: "SMTP down for long", backend, tries: 1, ...counted, note });
    expect(workers.map(({ isRunning }) => isRunning)).toEqual([true, true]);
    expect(probes).toBeLessThanOrEqual(Math.ceil(DOWN_MS / PROBE_MS));
    expect(attempts).toBe(0);
    expect(counted).toMatchObject({ due: DUE, sent: DUE, lost: 0, repeated: 0, strange: 0 });
    expect(resumedMs).toBeLessThan(PROBE_MS + 75_000);
  });

  async function isDown(): Promise<boolean> {
    const { rowCount } = await stage.owner.query("select from relay where down_since is not null");
    return rowCount === 1;
  }

  async function mostAttempts(): Promise<number> {
    const { rows } = await stage.owner.query<{ n: number }>(
      "select max(attempts) as n from message where lease_until is null",
    );
    return rows[0]?.n ?? Number.NaN;
  }
});
