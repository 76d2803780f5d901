import { afterEach, describe, expect, test } from "vitest";
import { until } from "../../support/until.ts";
import { BACKENDS } from "../support/backends.ts";
import { report } from "../support/report.ts";
import { type Stage, setStage } from "../support/stage.ts";
import { settled, states, tally } from "../support/tally.ts";

const DUE = 20;

describe.each(BACKENDS)("a message at which the process dies, queue on %s", (backend) => {
  let stage: Stage;
  afterEach(() => stage.clear());

  test("is failed and visible after some deaths, and the others are sent", async () => {
    stage = await setStage(backend);
    await stage.addRiders(DUE);
    let worker = stage.worker();
    stage.sink.onRecipient = (address) => {
      if (address === "rider0@example.org") worker.signal("SIGKILL");
    };
    let deaths = 0;
    while (deaths < 15) {
      await until(async () => !worker.isRunning || (await states(stage)).failed === 1, 20_000);
      if (worker.isRunning) break;
      deaths += 1;
      await letLeasesPass();
      worker = stage.worker();
    }
    await settled(stage, 60_000);
    const counted = await tally(stage);
    const note = `given up after ${deaths} deaths: ${await lastAnswer()}`;
    report({
      fault: "a message at which the process dies",
      backend,
      tries: deaths,
      ...counted,
      note,
    });
    expect(counted).toMatchObject({ due: DUE, sent: DUE - 1, failed: 1, lost: 0, strange: 0 });
    expect(deaths).toBeLessThanOrEqual(10);
  });

  /** As if the leases of the dead worker had run out, and its jobs were found to be stalled. */
  async function letLeasesPass(): Promise<void> {
    await stage.owner.query("update message set lease_until = now() where status = 'sending'");
    await (stage.redis?.flush() ?? stage.owner.query("delete from queue.job"));
  }

  async function lastAnswer(): Promise<string> {
    const { rows } = await stage.owner.query<{ answer: string }>(
      "select last_answer as answer from message where status = 'failed'",
    );
    return rows[0]?.answer ?? "nothing";
  }
});
