import pg from "pg";
import { uuidv7 } from "uuidv7";
import { afterEach, describe, expect, inject, test } from "vitest";
import { createAccount } from "../../src/application/accounts.ts";
import { Links } from "../../src/application/links.ts";
import { type SendDeps, sendMessage } from "../../src/application/mail/send-message.ts";
import { sweep } from "../../src/application/mail/sweep.ts";
import { addMember } from "../../src/application/people.ts";
import type { Member, Message } from "../../src/application/records.ts";
import { addTask } from "../../src/application/tasks.ts";
import { addVehicle } from "../../src/application/vehicles.ts";
import { freePort } from "../../src/commands/free-port.ts";
import { type MailboxOptions, startMailbox } from "../../src/commands/mailbox.ts";
import { PEOPLE } from "../../src/content/demo/people.ts";
import { inspection } from "../../src/content/demo/tasks.ts";
import { outboxOn } from "../../src/database/outbox.ts";
import { databaseOn } from "../../src/database/tenancy.ts";
import { addDays, dateOfDay, MS_PER_DAY } from "../../src/domain/calendar/plain-date.ts";
import { longestSendMs, smtpSender } from "../../src/outbound/smtp-sender.ts";
import { mailRenderer } from "../../src/render/mail/renderer.ts";
import { messageQueue } from "../../workers/queue.ts";
import { repeating } from "../../workers/repeating.ts";
import { tick } from "../../workers/tick.ts";
import { connected } from "../support/connections.ts";
import { until } from "../support/until.ts";
import { BACKENDS, type Backend } from "./support/backends.ts";
import { report } from "./support/report.ts";

/**
 * "After an outage of more than three days a member gets one digest, not a flood": of the worker, and
 * of the mail server while the worker ran. Real PostgreSQL, mail server and queue; days that lie in the
 * past stand for days that go by.
 */
const HOUR = 3_600_000;
const LEAD_DAYS = 21;
const FREE = { onHold: async () => false, step: async () => {} };
const BUSY = { code: 451, text: "4.3.2 try later" } as const;

type Behaviour = NonNullable<MailboxOptions["behaviour"]>;
type Scene = Awaited<ReturnType<typeof setScene>>;

const closing: (() => Promise<void>)[] = [];
afterEach(async () => {
  for (const close of closing.splice(0).reverse()) await close();
});

/** Riders who are entered so many days ago, with nothing sent since. */
async function setScene(daysAgo: number) {
  const database = await connected();
  closing.push(() => database.stop());
  const mails = { behaviour: (() => "accept") as Behaviour, gone: false };
  const mailbox = await startMailbox({ behaviour: (...args) => mails.behaviour(...args) });
  closing.push(() => mailbox.stop());
  const owner = new pg.Pool({ connectionString: database.database.ownerUrl, max: 1 });
  closing.push(() => owner.end());
  const from = { name: "Forewheel", address: "reminders@example.org" };
  const smtp = { url: mailbox.smtpUrl, from, timeoutMs: 5_000 };
  const nowhere = smtpSender({ ...smtp, url: `smtp://127.0.0.1:${await freePort()}` });
  const there = smtpSender(smtp);
  const deps: SendDeps = {
    database: databaseOn(database.connections),
    outbox: outboxOn(database.connections),
    sender: { relays: true, send: (mail) => (mails.gone ? nowhere : there).send(mail) },
    renderer: mailRenderer,
    links: new Links("s".repeat(32), "http://127.0.0.1:1"),
    ids: uuidv7,
    clock: () => start,
    mailDomain: "example.org",
    leaseMs: 2 * longestSendMs(smtp),
    longestSendMs: longestSendMs(smtp),
  };
  const start = (Math.floor(Date.now() / MS_PER_DAY) - daysAgo) * MS_PER_DAY + HOUR;
  const accountId = uuidv7();
  return { deps, mails, mailbox, owner, accountId, start, appUrl: database.database.appUrl };
}

const caller = (accountId: string) => ({
  ...{ accountId, keyId: "test", scopes: ["read", "readings:write", "write", "admin"] as const },
});

/** The owner and a second member, whose machines are inspected on dates that are told of in turn. */
async function addRiders(
  { deps, accountId, start }: Scene,
  days: { robin: number[]; kim: number[] },
  digest: "none" | "weekly" = "none",
): Promise<void> {
  await deps.database.asAccount(accountId, async (tx) => {
    const [robin, kim] = PEOPLE.map((person) => ({
      ...person,
      timeZone: "UTC",
      reminders: { ...person.reminders, digest },
    })) as [(typeof PEOPLE)[0], (typeof PEOPLE)[1]];
    const input = { name: "Invented riders", sandbox: false, clock: null, owner: robin };
    const key = { publicId: accountId, secretHash: new Uint8Array(32) };
    const { owner } = await createAccount(tx, input, key, deps);
    const other = await addMember(tx, caller(accountId), kim, {}, deps);
    const keep = async ({ id }: Member, spoken: number[]) => {
      const { vehicle } = await addVehicle(tx, caller(accountId), machineOf(id), {}, deps);
      for (const day of spoken) {
        const on = addDays(dateOfDay(start / MS_PER_DAY), day + LEAD_DAYS);
        const task = { ...inspection(on), title: `Inspection told of on day ${day}`, points: [] };
        await addTask(tx, caller(accountId), vehicle.id, { ...task, statedWork: "never" }, deps);
      }
    };
    await keep(owner, days.robin);
    await keep(other.member, days.kim);
  });
}

function machineOf(responsibleMemberId: string) {
  return {
    ...({
      kind: "motorcycle",
      meterUnit: "km",
      hoursMeter: false,
      scheduleId: null,
      name: "Single 150",
    } as const),
    ...{ make: null, model: null, modelYear: null, registration: null, frameNumber: null },
    ...{ group: null, inServiceOn: "2020-01-01", declaredPerYear: null, hemisphere: null },
    ...{ disposedOn: null, offRoad: false, notes: null, externalId: null, responsibleMemberId },
  };
}

/** A worker's loop on the queue, from now on. */
function work({ deps, appUrl }: Scene, backend: Backend): void {
  const redisUrl = backend === "redis" ? inject("redisUrl") : undefined;
  const queue = messageQueue({ redisUrl, databaseUrl: appUrl }, () => {});
  closing.push(() => queue.close(true));
  queue.work(async ({ accountId, messageId, probe = false }) => {
    await sendMessage(accountId, messageId, await deps.outbox.time(), deps, probe);
  }, 2);
  const beat = () => tick(deps, queue, FREE);
  const ticking = repeating(100, beat, () => {});
  closing.push(() => ticking.stop());
}

/** What a worker does at one moment, at the time that is handed in. */
async function beatAt(now: number, { deps }: Scene): Promise<void> {
  while ((await sweep(now, null, deps)) > 0);
  for (const { accountId, messageId } of await deps.outbox.waiting("mail", now, 100, null)) {
    await sendMessage(accountId, messageId, now, deps);
  }
}

const dayAt = ({ start }: Scene, day: number, hour = 9) => start + day * MS_PER_DAY + hour * HOUR;

async function messages({ deps, accountId }: Scene): Promise<Message[]> {
  const page = await deps.database.asAccount(accountId, (tx) =>
    tx.messages.list({}, { limit: 200, after: null }),
  );
  return page.items;
}

async function settle(scene: Scene): Promise<void> {
  const isSettled = ({ status }: Message) => ["sent", "failed", "suppressed"].includes(status);
  await until(async () => {
    const all = await messages(scene);
    return all.length > 0 && all.every(isSettled) && (await undue(scene)) === 0;
  }, 20_000);
}

async function undue({ owner }: Scene): Promise<number> {
  const { rows } = await owner.query<{ n: number }>(
    "select count(*)::int as n from reminder where planned_for <= now() and status not in ('sent', 'failed', 'cancelled')",
  );
  return rows[0]?.n ?? 0;
}

/** How many reminders each mail to the address tells of, the oldest mail first. */
function toldTo({ mailbox }: Scene, address: string): number[] {
  return mailbox
    .messages()
    .filter(({ envelopeTo }) => envelopeTo.includes(address))
    .map(({ text }) => new Set(text.match(/Inspection told of on day \d+/g)).size);
}

async function count(scene: Scene, fault: string, backend: string, note: string): Promise<void> {
  const { rows } = await scene.owner.query<{ due: number; sent: number }>(
    `select count(*)::int as due, (count(*) filter (where status = 'sent'))::int as sent
     from reminder where planned_for <= now() and status <> 'cancelled'`,
  );
  const { due = 0, sent = 0 } = rows[0] ?? {};
  const ids = scene.mailbox.messages().map(({ messageId }) => messageId);
  const repeated = ids.length - new Set(ids).size;
  report({ fault, backend, tries: 1, due, sent: ids.length, lost: due - sent, repeated, note });
  expect({ lost: due - sent, repeated }).toEqual({ lost: 0, repeated: 0 });
}

const ROBIN = String(PEOPLE[0].email);
const KIM = String(PEOPLE[1].email);

describe.each(BACKENDS)("after an outage, queue on %s", (backend) => {
  test("a worker that was off for five days of reminders sends each member one mail", async () => {
    const scene = await setScene(7);
    await addRiders(scene, { robin: [1, 2, 3, 4, 5], kim: [2] });
    work(scene, backend);
    await settle(scene);
    expect(toldTo(scene, ROBIN)).toEqual([5]);
    expect(toldTo(scene, KIM)).toEqual([1]);
    const folded = (await messages(scene)).filter(({ status }) => status === "suppressed");
    const whole = (await messages(scene)).find(({ reminderIds }) => reminderIds.length === 5);
    expect(folded.map(({ lastAnswer }) => lastAnswer)).toEqual(
      Array(4).fill(`Its reminders went into message ${whole?.id}, after an outage.`),
    );
    await count(scene, "worker off for 5 days", backend, "5 reminders in 1 mail");
  });

  test.each([
    ["busy", false],
    ["gone", true],
  ])(
    "a mail server that is %s for five days gets one mail a member in the end",
    async (how, gone) => {
      const scene = await setScene(6);
      await addRiders(scene, { robin: [1, 2, 3, 4, 5], kim: [2] });
      scene.mails.gone = gone;
      scene.mails.behaviour = (stage) => (stage === "recipient" ? BUSY : "accept");
      for (let day = 1; day <= 5; day += 1) {
        for (const hour of [9, 15]) await beatAt(dayAt(scene, day, hour), scene);
      }
      expect(scene.mailbox.messages()).toEqual([]);
      scene.mails.gone = false;
      scene.mails.behaviour = () => "accept";
      await scene.owner.query(
        "update message set next_attempt_at = now() where status = 'waiting'",
      );
      await scene.owner.query("update relay set probe_at = now() where down_since is not null");
      work(scene, backend);
      await settle(scene);
      expect(toldTo(scene, ROBIN)).toEqual([5]);
      expect(toldTo(scene, KIM)).toEqual([1]);
      await count(scene, "mail server off for 5 days", backend, `${how}; 5 reminders in 1 mail`);
    },
  );

  test("a worker that was off for two days sends as many mails as days", async () => {
    const scene = await setScene(7);
    await addRiders(scene, { robin: [5, 6], kim: [6] });
    work(scene, backend);
    await settle(scene);
    expect(toldTo(scene, ROBIN)).toEqual([1, 1]);
    expect(toldTo(scene, KIM)).toEqual([1]);
    await count(scene, "worker off for 2 days", backend, "as many mails as days");
  });
});

describe("what is folded after an outage", () => {
  test("leaves alone a message whose answer was lost, since it may have arrived", async () => {
    const scene = await setScene(7);
    await addRiders(scene, { robin: [1, 2, 3, 4, 5], kim: [] });
    await beatAt(dayAt(scene, 1, 6), scene);
    scene.mails.behaviour = (stage) => (stage === "recipient" ? BUSY : "accept");
    await beatAt(dayAt(scene, 1), scene);
    await scene.owner.query("update message set status = 'unknown', next_attempt_at = now()");
    scene.mails.behaviour = () => "accept";
    await beatAt(dayAt(scene, 6), scene);
    await beatAt(Date.now() + HOUR, scene);
    expect(toldTo(scene, ROBIN).sort()).toEqual([1, 4]);
  });

  test("is folded once by any number of sweepers at once, and nothing is lost", async () => {
    const scene = await setScene(7);
    await addRiders(scene, { robin: [1, 2, 3, 4, 5], kim: [1, 3, 5] });
    const now = dayAt(scene, 6);
    await Promise.all(Array.from({ length: 4 }, () => sweep(now, null, scene.deps)));
    await beatAt(now, scene);
    expect(toldTo(scene, ROBIN)).toEqual([5]);
    expect(toldTo(scene, KIM)).toEqual([3]);
    await count(scene, "4 sweepers at once after 5 days", "none", "one mail a member");
  });

  test("is tried as soon and as long as the newest of its parts", async () => {
    const scene = await setScene(7);
    await addRiders(scene, { robin: [1, 5], kim: [] });
    scene.mails.behaviour = (stage) => (stage === "recipient" ? BUSY : "accept");
    await beatAt(dayAt(scene, 1), scene);
    await scene.owner.query("update message set next_attempt_at = now() + interval '4 hours'");
    while ((await sweep(dayAt(scene, 5), null, scene.deps)) > 0);
    const waiting = (await messages(scene)).filter(({ status }) => status === "waiting");
    expect(
      waiting.map(({ nextAttemptAt, giveUpAt, reminderIds }) => [
        ...[nextAttemptAt, giveUpAt, reminderIds.length],
      ]),
    ).toEqual([[dayAt(scene, 5), dayAt(scene, 5 + 7), 2]]);
  });
});

describe("digests after an outage", () => {
  /** Inspections on the day after they were entered, so that each digest has something to tell. */
  const DUE_AT_ONCE = { robin: [1 - LEAD_DAYS], kim: [1 - LEAD_DAYS] };
  const weeks = ({ mailbox }: Scene, address: string) =>
    mailbox
      .messages()
      .filter(({ envelopeTo, subject }) => envelopeTo.includes(address) && /^Week/.test(subject));

  test.each(BACKENDS)("of three weeks there is one, the newest, queue on %s", async (backend) => {
    const scene = await setScene(24);
    await addRiders(scene, DUE_AT_ONCE, "weekly");
    work(scene, backend);
    await until(() => weeks(scene, ROBIN).length > 0 && weeks(scene, KIM).length > 0, 20_000);
    const { rows } = await scene.owner.query("select min(at) > now() as ahead from next_digest");
    expect(rows).toEqual([{ ahead: true }]);
    expect([weeks(scene, ROBIN).length, weeks(scene, KIM).length]).toEqual([1, 1]);
    const digests = (await messages(scene)).filter(({ kind }) => kind === "digest");
    expect(digests).toHaveLength(2);
  });

  test("one that waits for the mail server gives way to the next", async () => {
    const scene = await setScene(24);
    await addRiders(scene, DUE_AT_ONCE, "weekly");
    scene.mails.behaviour = (stage) => (stage === "recipient" ? BUSY : "accept");
    for (let day = 0; day < 15; day += 1) await beatAt(dayAt(scene, day), scene);
    scene.mails.behaviour = () => "accept";
    await beatAt(dayAt(scene, 15), scene);
    expect([weeks(scene, ROBIN).length, weeks(scene, KIM).length]).toEqual([1, 1]);
    const gone = (await messages(scene)).filter(
      ({ kind, status }) => kind === "digest" && status === "suppressed",
    );
    expect(new Set(gone.map(({ lastAnswer }) => lastAnswer))).toEqual(
      new Set(["A newer digest takes its place."]),
    );
  });

  test("is written once by any number of sweepers at once", async () => {
    const scene = await setScene(24);
    await addRiders(scene, DUE_AT_ONCE, "weekly");
    const now = dayAt(scene, 20);
    await Promise.all(Array.from({ length: 4 }, () => sweep(now, null, scene.deps)));
    await beatAt(now, scene);
    expect([weeks(scene, ROBIN).length, weeks(scene, KIM).length]).toEqual([1, 1]);
  });
});
