import { uuidv7 } from "uuidv7";
import { afterEach, describe, expect, inject, test } from "vitest";
import { createAccount } from "../../src/application/accounts.ts";
import { Links } from "../../src/application/links.ts";
import { type SendDeps, sendMessage } from "../../src/application/mail/send-message.ts";
import { recordReading } from "../../src/application/readings/record-reading.ts";
import { addTask } from "../../src/application/tasks.ts";
import { addVehicle } from "../../src/application/vehicles.ts";
import { type MailboxOptions, startMailbox } from "../../src/commands/mailbox.ts";
import { PEOPLE } from "../../src/content/demo/people.ts";
import { OIL } from "../../src/content/demo/tasks.ts";
import { outboxOn } from "../../src/database/outbox.ts";
import { databaseOn } from "../../src/database/tenancy.ts";
import { longestSendMs, smtpSender } from "../../src/outbound/smtp-sender.ts";
import { mailRenderer } from "../../src/render/mail/renderer.ts";
import { messageQueue } from "../../workers/queue.ts";
import { repeating } from "../../workers/repeating.ts";
import { tick } from "../../workers/tick.ts";
import { connected } from "../support/connections.ts";
import { redisDatabase } from "../support/redis-database.ts";
import { until } from "../support/until.ts";

const DAY = 86_400_000;
/** Nothing keeps these workers from sending. */
const FREE = { onHold: async () => false, step: async () => {} };
const BACKENDS = inject("redisUrl")
  ? (["postgresql", "redis"] as const)
  : (["postgresql"] as const);

describe.each(BACKENDS)("a reminder on its way to a mailbox, queue on %s", (backend) => {
  const closing: (() => Promise<void>)[] = [];
  afterEach(async () => {
    for (const close of closing.splice(0).reverse()) await close();
  });

  /** An account whose machine has an oil change that fell due some days ago. */
  async function stage(behaviour?: MailboxOptions["behaviour"]) {
    const database = await connected();
    closing.push(() => database.stop());
    const mailbox = await startMailbox(behaviour ? { behaviour } : {});
    closing.push(() => mailbox.stop());
    const from = { name: "Forewheel", address: "reminders@example.org" };
    const smtp = { url: mailbox.smtpUrl, from, timeoutMs: 10_000 };
    const deps: SendDeps = {
      database: databaseOn(database.connections),
      outbox: outboxOn(database.connections),
      sender: smtpSender(smtp),
      renderer: mailRenderer,
      links: new Links("s".repeat(32), "http://127.0.0.1:1"),
      ids: uuidv7,
      clock: Date.now,
      mailDomain: "example.org",
      leaseMs: 2 * longestSendMs(smtp),
      longestSendMs: longestSendMs(smtp),
    };
    const accountId = await fill({ ...deps, clock: () => Date.now() - 3 * DAY });
    return {
      deps,
      mailbox,
      accountId,
      pool: database.connections.pool,
      appUrl: database.database.appUrl,
    };
  }

  async function fill(deps: SendDeps): Promise<string> {
    const accountId = uuidv7();
    const scopes = ["read", "readings:write", "write", "admin"] as const;
    const caller = { accountId, keyId: "test", scopes };
    await deps.database.asAccount(accountId, async (tx) => {
      const input = { name: "Invented riders", sandbox: false, clock: null, owner: PEOPLE[0] };
      await createAccount(tx, input, { publicId: accountId, secretHash: new Uint8Array(32) }, deps);
      const machine = {
        ...({
          name: "Single 150",
          kind: "motorcycle",
          meterUnit: "km",
          hoursMeter: false,
          scheduleId: null,
        } as const),
        ...{ make: null, model: null, modelYear: null, registration: null, frameNumber: null },
        ...{ group: null, inServiceOn: "2020-01-01", declaredPerYear: null, hemisphere: null },
        ...{
          responsibleMemberId: null,
          disposedOn: null,
          offRoad: false,
          notes: null,
          externalId: null,
        },
      };
      const { vehicle } = await addVehicle(tx, caller, machine, {}, deps);
      const task = { ...OIL, points: [], statedWork: { on: "2020-06-01", reading: 1000 } };
      await addTask(tx, caller, vehicle.id, task, deps);
      const at = deps.clock();
      const read = () => ({ value: 9000, unit: "km" as const, at, source: "rider" as const });
      await recordReading(tx, caller, vehicle.id, read, {}, deps);
    });
    return accountId;
  }

  function work({ deps, appUrl }: Awaited<ReturnType<typeof stage>>) {
    const redisUrl = backend === "redis" ? redisDatabase("mail-arrives") : undefined;
    const queue = messageQueue({ redisUrl, databaseUrl: appUrl }, () => {});
    closing.push(() => queue.close(true));
    queue.work(async ({ accountId, messageId }) => {
      await sendMessage(accountId, messageId, await deps.outbox.time(), deps);
    }, 2);
    const ticking = repeating(
      100,
      () => tick(deps, queue, FREE),
      () => {},
    );
    closing.push(() => ticking.stop());
  }

  async function statuses({ deps, accountId }: Awaited<ReturnType<typeof stage>>) {
    const page = await deps.database.asAccount(accountId, (tx) =>
      tx.messages.list({}, { limit: 50, after: null }),
    );
    return page.items.map(({ status, lastAnswer }) => ({ status, lastAnswer }));
  }

  test("it arrives once, under the Message-ID of its row, and is marked sent", async () => {
    const scene = await stage();
    work(scene);
    const mail = await scene.mailbox.waitFor(() => true, 15_000);
    expect(mail.text).toContain("Engine oil and filter");
    await until(async () => (await statuses(scene)).every(({ status }) => status === "sent"));
    const { items } = await scene.deps.database.asAccount(scene.accountId, (tx) =>
      tx.messages.list({}, { limit: 50, after: null }),
    );
    expect(items.map(({ messageIdHeader }) => messageIdHeader)).toEqual([mail.messageId]);
    expect(scene.mailbox.messages()).toHaveLength(1);
  });

  test("of two workers at once only one sends it", async () => {
    const scene = await stage();
    work(scene);
    work(scene);
    await scene.mailbox.waitFor(() => true, 15_000);
    await until(async () => (await statuses(scene)).every(({ status }) => status === "sent"));
    expect(scene.mailbox.messages()).toHaveLength(1);
  });

  test("a refusal for an unknown mailbox is failed and visible, in the server's words", async () => {
    const scene = await stage((step) =>
      step === "recipient" ? { code: 550, text: "5.1.1 no such user here" } : "accept",
    );
    work(scene);
    await until(async () => (await statuses(scene)).some(({ status }) => status === "failed"));
    const [failed] = await statuses(scene);
    expect(failed?.lastAnswer).toContain("no such user here");
    const owner = await scene.deps.database.asAccount(scene.accountId, (tx) => tx.owner());
    expect(owner.emailSuppressed).toContain("no such user here");
  });

  test("a server that is busy is tried again later, and nothing is lost", async () => {
    const scene = await stage((step) =>
      step === "recipient" ? { code: 451, text: "4.3.2 try later" } : "accept",
    );
    work(scene);
    await until(async () => (await statuses(scene)).some(({ lastAnswer }) => lastAnswer !== null));
    expect((await statuses(scene)).map(({ status }) => status)).toEqual(["waiting"]);
  });

  test("work that is logged between sweep and send silences it", async () => {
    const scene = await stage();
    const { deps, accountId } = scene;
    const now = await deps.outbox.time();
    expect(await deps.outbox.gather(now, uuidv7, "example.org", null)).toBe(1);
    const [waiting] = await deps.outbox.waiting("mail", now, 10, null);
    await deps.database.asAccount(accountId, async (tx) => {
      const { items } = await tx.reminders.list({}, { limit: 10, after: null });
      const planned = items.find(({ messageId }) => messageId !== null);
      if (!planned) throw new Error("nothing was gathered");
      await tx.reminders.update(planned.id, planned.version, {
        status: "cancelled",
        cancelledBy: "plan",
      });
    });
    expect(await sendMessage(accountId, String(waiting?.messageId), now, deps)).toMatchObject({
      result: "suppressed",
    });
    expect(scene.mailbox.messages()).toHaveLength(0);
  });
});
