import { setTimeout as sleep } from "node:timers/promises";
import { uuidv7 } from "uuidv7";
import { afterEach, describe, expect, test } from "vitest";
import { Links } from "../../src/application/links.ts";
import { type SendDeps, sendMessage } from "../../src/application/mail/send-message.ts";
import { type Connections, connect } from "../../src/database/client.ts";
import { outboxOn } from "../../src/database/outbox.ts";
import { databaseOn } from "../../src/database/tenancy.ts";
import { longestSendMs, smtpSender } from "../../src/outbound/smtp-sender.ts";
import { mailRenderer } from "../../src/render/mail/renderer.ts";
import { tick } from "../../workers/tick.ts";
import { freshDatabase } from "../support/database.ts";
import { until } from "../support/until.ts";
import { BACKENDS } from "./support/backends.ts";
import { report } from "./support/report.ts";
import { type Stage, setStage } from "./support/stage.ts";
import { tally } from "./support/tally.ts";

const MINUTE = 60_000;

/** A module that is loaded before the program, and moves the clock of its process by so many minutes. */
function clockMoved(minutes: number): string {
  const code = `const real=Date,by=${minutes * MINUTE};
    globalThis.Date=class extends real{constructor(...a){super(...(a.length?a:[real.now()+by]))}
      static now(){return real.now()+by}}`;
  return `--import=data:text/javascript,${encodeURIComponent(code)}`;
}

describe.each(BACKENDS)("the clocks of workers, queue on %s", (backend) => {
  let stage: Stage;
  afterEach(() => stage.clear());

  test("one ten minutes ahead, one an hour back, one right: none is early, none late, none twice", async () => {
    stage = await setStage(backend);
    await stage.addRiders(12, { fromNowMs: 60 * MINUTE, everyMs: 300 });
    const workers = [10, -60, 0].map((minutes) =>
      stage.worker({ NODE_OPTIONS: clockMoved(minutes) }),
    );
    await until(() => workers.every((one) => one.output().includes("worker started")), 40_000);
    await stage.owner.query(
      `update reminder set planned_for = planned_for + (now() + interval '3 seconds'
         - (select min(planned_for) from reminder where planned_for > now()))
       where planned_for > now()`,
    );
    await until(() => stage.sink.taken.size === 12, 40_000);
    await sleep(1_500);
    const { rows } = await stage.owner.query<{ header: string; planned: number }>(
      `select m.message_id_header as header, (extract(epoch from r.planned_for) * 1000)::float8 as planned
       from reminder r join message m on m.account_id = r.account_id and m.id = r.message_id`,
    );
    const lateness = rows.map(({ header, planned }) => {
      const [at = 0] = stage.sink.taken.get(header) ?? [];
      return at - planned;
    });
    const counted = await tally(stage);
    report({
      fault: "clock of one worker ten minutes ahead, of another an hour back",
      ...{ backend, tries: 2, ...counted },
      note: `sent ${Math.round(Math.min(...lateness))} to ${Math.round(Math.max(...lateness))} ms after their moments`,
    });
    expect(rows).toHaveLength(12);
    expect(Math.min(...lateness)).toBeGreaterThanOrEqual(0);
    expect(Math.max(...lateness)).toBeLessThan(30_000);
    expect(counted).toMatchObject({ due: 12, sent: 12, lost: 0, repeated: 0, strange: 0 });
  }, 90_000);
});

/** A worker in this process, on a database whose clock is `clock.off` ms away from the right time. */
function workerOn(connections: Connections, smtpUrl: string, clock: { off: number }) {
  const outbox = outboxOn(connections);
  const from = { name: "Forewheel", address: "reminders@example.org" };
  const smtp = { url: smtpUrl, from, timeoutMs: 5_000 };
  const deps: SendDeps = {
    database: databaseOn(connections),
    outbox: { ...outbox, time: async () => (await outbox.time()) + clock.off },
    sender: smtpSender(smtp),
    renderer: mailRenderer,
    links: new Links("s".repeat(32), "http://127.0.0.1:1"),
    ...{ ids: uuidv7, clock: Date.now, mailDomain: "example.org" },
    ...{ leaseMs: 2 * longestSendMs(smtp), longestSendMs: longestSendMs(smtp) },
  };
  const queue: Parameters<typeof tick>[1] = {
    async wake(jobs) {
      for (const { accountId, messageId } of jobs) {
        await sendMessage(accountId, messageId, await deps.outbox.time(), deps);
      }
    },
    work() {},
    async close() {},
  };
  return { beat: () => tick(deps, queue, { onHold: async () => false, step: async () => {} }) };
}

describe("the clock of the database", () => {
  test("an hour back, then an hour on: none twice, none lost", async () => {
    const database = await freshDatabase();
    const stage = await setStage("postgresql", database);
    const connections = connect(database.appUrl, { connections: 4, onBroken: () => {} });
    try {
      const clock = { off: 0 };
      const worker = workerOn(connections, stage.sink.url, clock);
      await stage.addRiders(8, { fromNowMs: -40 * MINUTE, everyMs: 5 * MINUTE });
      await worker.beat();
      expect(stage.sink.taken.size).toBe(8);

      clock.off = -60 * MINUTE;
      await stage.addRiders(5, { fromNowMs: -30 * MINUTE, everyMs: 5 * MINUTE });
      await worker.beat();
      await worker.beat();
      expect(stage.sink.taken.size, "none of those that are due only later").toBe(8);

      clock.off = -20 * MINUTE;
      await worker.beat();
      expect(stage.sink.taken.size, "as the clock comes to them").toBe(11);

      clock.off = 0;
      await worker.beat();
      const counted = await tally(stage);
      report({
        fault: "clock of the database an hour back",
        ...{ backend: "-", tries: 1, ...counted },
        note: "8 sent before, 5 after",
      });
      expect(counted).toMatchObject({ due: 13, sent: 13, lost: 0, repeated: 0, strange: 0 });
    } finally {
      await connections.close();
      await stage.clear();
    }
  });
});
