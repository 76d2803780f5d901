import { afterEach, describe, expect, test } from "vitest";
import { messageQueue } from "../../workers/queue.ts";
import { until } from "../support/until.ts";
import { BACKENDS } from "./support/backends.ts";
import { requireRunning } from "./support/program.ts";
import { report } from "./support/report.ts";
import { type Stage, setStage } from "./support/stage.ts";
import { passRetryTime, settled, states, tally } from "./support/tally.ts";

const DUE = 20;

describe.each(BACKENDS)("a job that poisons, queue on %s", (backend) => {
  let stage: Stage;
  afterEach(() => stage.clear());

  test("and names no message at all is dropped, and the others go on", async () => {
    stage = await setStage(backend);
    await stage.addRiders(DUE);
    await addByHand([
      { accountId: "nobody", messageId: "nothing" },
      { accountId: "00000000-0000-0000-0000-000000000000", messageId: "' or true --" },
      { messageId: "no-account" },
    ]);
    const worker = stage.worker();
    await settled(stage, 20_000);
    requireRunning(worker);
    const counted = await tally(stage);
    report({ fault: "jobs with a bad payload", backend, tries: 3, ...counted, note: "" });
    expect(counted).toMatchObject({ due: DUE, sent: DUE, failed: 0, lost: 0, repeated: 0 });
  });

  test.each([
    ["parts are none", "update task set parts = '7' where account_id = $1"],
    ["zone does not exist", "update member set time_zone = 'Nowhere/Land' where account_id = $1"],
  ])(
    "whose %s is failed and visible after some attempts, and the others go on",
    async (what, break_) => {
      stage = await setStage(backend);
      await stage.addRiders(DUE);
      const [broken] = (await stage.owner.query<{ id: string }>("select id from account limit 1"))
        .rows;
      await stage.owner.query(break_, [broken?.id]);
      const worker = stage.worker();
      await until(async () => (await states(stage)).sent === DUE - 1, 20_000);
      let attempts = 0;
      for (; (await states(stage)).failed !== 1 && attempts < 15; attempts += 1) {
        const before = await attemptsOf(broken?.id);
        await passRetryTime(stage);
        await stage.owner.query("update message set lease_until = now() where status = 'sending'");
        await until(async () => (await attemptsOf(broken?.id)) !== before, 20_000).catch(() => {});
      }
      requireRunning(worker);
      const counted = await tally(stage);
      const note = `failed after ${attempts} further attempts`;
      report({ fault: `a message whose ${what}`, backend, tries: 1, ...counted, note });
      expect(counted).toMatchObject({ due: DUE, sent: DUE - 1, failed: 1, lost: 0, repeated: 0 });
    },
    90_000,
  );

  async function attemptsOf(accountId: string | undefined): Promise<string> {
    const { rows } = await stage.owner.query(
      "select status, attempts from message where account_id = $1",
      [accountId],
    );
    return JSON.stringify(rows);
  }

  async function addByHand(payloads: Record<string, string>[]): Promise<void> {
    const settings = { redisUrl: stage.redis?.url, databaseUrl: stage.ownerUrl };
    const queue = messageQueue(settings, () => {});
    await queue.wake(payloads as never);
    await queue.close(true);
  }
});
