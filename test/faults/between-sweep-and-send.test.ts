import { v7 } from "uuid";
import { afterAll, beforeAll, describe, expect, test } from "vitest";
import { createAccount } from "../../src/application/accounts.ts";
import { addLayUp } from "../../src/application/lay-ups.ts";
import { Links } from "../../src/application/links.ts";
import { refreshMachine } from "../../src/application/machine/refresh.ts";
import { type SendDeps, sendMessage } from "../../src/application/mail/send-message.ts";
import { sweep } from "../../src/application/mail/sweep.ts";
import type { Mail } from "../../src/application/outbox-ports.ts";
import type { Transaction } from "../../src/application/ports.ts";
import { recordReading } from "../../src/application/readings/record-reading.ts";
import type { Task, Vehicle } from "../../src/application/records.ts";
import { cancelReminder, deferReminder } from "../../src/application/reminders.ts";
import { addTask } from "../../src/application/tasks.ts";
import { addVehicle } from "../../src/application/vehicles.ts";
import { logWork } from "../../src/application/work-done/log-work.ts";
import { PEOPLE } from "../../src/content/demo/people.ts";
import { OIL } from "../../src/content/demo/tasks.ts";
import { outboxOn } from "../../src/database/outbox.ts";
import { databaseOn } from "../../src/database/tenancy.ts";
import { mailRenderer } from "../../src/render/mail/renderer.ts";
import { connected } from "../support/connections.ts";
import { report } from "./support/report.ts";

const DAY = 86_400_000;
const MACHINE = {
  ...({ name: "Single 150", kind: "motorcycle", meterUnit: "km", hoursMeter: false } as const),
  ...{ make: null, model: null, modelYear: null, registration: null, frameNumber: null },
  ...{ group: null, inServiceOn: "2020-01-01", declaredPerYear: null, hemisphere: null },
  ...{ responsibleMemberId: null, disposedOn: null, offRoad: false, notes: null, externalId: null },
};

interface Scene {
  accountId: string;
  vehicle: Vehicle;
  oil: Task;
  chain: Task;
  caller: { accountId: string; keyId: string; scopes: readonly ["read", "write", "admin"] };
}

type Change = (tx: Transaction, scene: Scene, deps: SendDeps) => Promise<unknown>;

/** What takes the oil change off the list, by people and by their apps. */
const CHANGES: Record<string, Change> = {
  "the work is logged": async (tx, { vehicle, oil, caller }, deps) => {
    const work = {
      ...{ doneAt: Date.now(), reading: null, taskIds: [oil.id], performedBy: { name: "Toni" } },
      ...{ findings: [], parts: [], minutes: null, labour: null, cost: null, notes: null },
      externalId: null,
    };
    await logWork(tx, caller, vehicle.id, work as never, {}, deps);
  },
  "the interval is edited": async (tx, { oil, vehicle }, deps) => {
    const plan = { ...oil.plan, every: { distance: 90_000 }, first: { distance: 90_000 } };
    await tx.tasks.update(oil.id, oil.version, { plan: plan as never });
    await refreshMachine(tx, vehicle.id, deps);
  },
  "the task is deleted": async (tx, { oil, vehicle }, deps) => {
    await tx.tasks.remove(oil.id, oil.version);
    await refreshMachine(tx, vehicle.id, deps);
  },
  "the task is paused": async (tx, { oil, vehicle }, deps) => {
    await tx.tasks.update(oil.id, oil.version, { plan: { ...oil.plan, paused: true } });
    await refreshMachine(tx, vehicle.id, deps);
  },
  "the member cancels the reminder": async (tx, scene, deps) => {
    for (const { id } of await carriedOf(tx, scene.oil.id)) {
      await cancelReminder(tx, scene.caller, id, null, deps);
    }
  },
  "the member defers it": async (tx, scene, deps) => {
    const untilOn = new Date(Date.now() + 40 * DAY).toISOString().slice(0, 10);
    for (const { id } of await carriedOf(tx, scene.oil.id)) {
      await deferReminder(tx, scene.caller, id, { untilOn }, deps);
    }
  },
};

/** What takes everything of the machine off the list. */
const CHANGES_OF_ALL: Record<string, Change> = {
  "the member unsubscribes": async (tx, { vehicle }, deps) => {
    const member = await tx.owner();
    await tx.members.update(member.id, member.version, { unsubscribedAt: Date.now() });
    await refreshMachine(tx, vehicle.id, deps);
  },
  "the address is refused elsewhere": async (tx) => {
    const member = await tx.owner();
    await tx.members.update(member.id, member.version, { emailSuppressed: "550 5.1.1" });
  },
  "the machine is disposed of": async (tx, { vehicle }, deps) => {
    const disposedOn = new Date().toISOString().slice(0, 10);
    await tx.vehicles.update(vehicle.id, vehicle.version, { disposedOn });
    await refreshMachine(tx, vehicle.id, deps);
  },
  "the machine is handed to another member": async (tx, { vehicle }, deps) => {
    const [, person] = PEOPLE;
    const now = Date.now();
    const other = await tx.members.insert({
      ...person,
      ...{ id: v7(), createdAt: now, updatedAt: now, role: "rider", externalId: null },
      ...{ emailConfirmedAt: now, emailSuppressed: null, unsubscribedAt: null },
    } as never);
    await tx.vehicles.update(vehicle.id, vehicle.version, { responsibleMemberId: other.id });
    await refreshMachine(tx, vehicle.id, deps);
  },
};

async function carriedOf(tx: Transaction, taskId: string) {
  const { items } = await tx.reminders.list({ taskId }, { limit: 20, after: null });
  return items.filter(({ messageId, status }) => messageId !== null && status === "planned");
}

describe("between sweep and send", () => {
  let stage: Awaited<ReturnType<typeof connected>>;
  const handed: Mail[] = [];
  const tally = { tries: 0, due: 0, sent: 0, unwanted: 0 };
  beforeAll(async () => {
    stage = await connected();
  });
  afterAll(async () => {
    report({
      fault: "completed, edited, deleted, deferred, unsubscribed ... between sweep and send",
      ...{ backend: "-", tries: tally.tries, due: tally.due, sent: tally.sent },
      ...{ lost: tally.due - tally.sent, repeated: tally.unwanted },
      note: `${tally.unwanted} sent that were not wanted any more`,
    });
    await stage.stop();
  });

  function depsOn(before: (accountId: string) => Promise<void> = async () => {}): SendDeps {
    const outbox = outboxOn(stage.connections);
    return {
      database: databaseOn(stage.connections),
      outbox: {
        ...outbox,
        async claim(accountId, ...rest) {
          const claimed = await outbox.claim(accountId, ...rest);
          await before(accountId);
          return claimed;
        },
      },
      sender: {
        relays: true,
        async send(mail) {
          handed.push(mail);
          return { kind: "accepted", answer: "250 taken" };
        },
      },
      renderer: mailRenderer,
      links: new Links("s".repeat(32), "http://127.0.0.1:1"),
      ...{ ids: v7, clock: Date.now, mailDomain: "example.org" },
      ...{ leaseMs: 20_000, longestSendMs: 1_000 },
    };
  }

  /** A machine of which two jobs are overdue, gathered into one message that waits. */
  async function gathered(): Promise<Scene & { messageId: string }> {
    const deps = { ...depsOn(), clock: () => Date.now() - 3 * DAY };
    const accountId = v7();
    const caller = { accountId, keyId: "test", scopes: ["read", "write", "admin"] as const };
    const made = await deps.database.asAccount(accountId, async (tx) => {
      const [person] = PEOPLE;
      const owner = { ...person, reminders: { ...person.reminders, askForReadings: false } };
      const input = { name: "Invented riders", sandbox: false, clock: null, owner };
      const key = { publicId: accountId, secretHash: new Uint8Array(32) };
      await createAccount(tx, input, key, deps);
      const { vehicle } = await addVehicle(tx, caller, MACHINE, {}, deps);
      const statedWork = { on: "2020-06-01", reading: 1000 };
      const task = { ...OIL, points: [], statedWork };
      const oil = await addTask(tx, caller, vehicle.id, task, deps);
      const chain = await addTask(tx, caller, vehicle.id, { ...task, title: "Chain" }, deps);
      const read = () => ({
        ...{ value: 9000, unit: "km" as const },
        ...{ at: deps.clock(), source: "rider" as const },
      });
      await recordReading(tx, caller, vehicle.id, read, {}, deps);
      return { vehicle, oil: oil.assessed.task, chain: chain.assessed.task };
    });
    const now = await deps.outbox.time();
    while ((await sweep(now, null, depsOn())) > 0);
    const waiting = await deps.outbox.waiting("mail", now, 100, null);
    const message = waiting.find((one) => one.accountId === accountId);
    if (!message) throw new Error("Nothing was gathered.");
    const vehicle = await deps.database.asAccount(accountId, (tx) =>
      tx.vehicles.find(made.vehicle.id),
    );
    return {
      ...made,
      vehicle: vehicle as Vehicle,
      accountId,
      caller,
      messageId: message.messageId,
    };
  }

  async function sendAll(scene: { accountId: string; messageId: string }, deps: SendDeps) {
    handed.length = 0;
    const now = await deps.outbox.time();
    const { result } = await sendMessage(scene.accountId, scene.messageId, now, deps);
    return { result, text: handed[0]?.text ?? "" };
  }

  describe.each(["before the claim", "after the claim"] as const)("%s", (when) => {
    async function sent(change: Change) {
      const scene = await gathered();
      const plain = depsOn();
      const apply = () =>
        plain.database.asAccount(scene.accountId, async (tx) => {
          await change(tx, scene, plain);
        });
      if (when === "before the claim") await apply();
      const deps = when === "after the claim" ? depsOn(apply) : plain;
      return { ...(await sendAll(scene, deps)), scene };
    }

    test.each(Object.entries(CHANGES))("%s: the rest goes without it", async (_, change) => {
      const { result, text, scene } = await sent(change);
      const unwanted = text.includes(`# ${scene.oil.title}`);
      tally.tries += 1;
      tally.due += 1;
      tally.sent += Number(result === "sent" && text.includes("# Chain"));
      tally.unwanted += Number(unwanted);
      expect(result).toBe("sent");
      expect(text).toContain("# Chain");
      expect(unwanted).toBe(false);
    });

    test.each(Object.entries(CHANGES_OF_ALL))("%s: nothing goes", async (_, change) => {
      const { result, scene } = await sent(change);
      tally.tries += 1;
      tally.unwanted += handed.length;
      expect(result).toBe("suppressed");
      expect(handed).toEqual([]);
      const { message, open } = await depsOn().database.asAccount(scene.accountId, async (tx) => ({
        message: await tx.messages.find(scene.messageId),
        open: (await tx.reminders.list({ status: "planned" }, { limit: 50, after: null })).items,
      }));
      expect(message).toMatchObject({
        status: "suppressed",
        lastAnswer: expect.stringMatching(/./),
      });
      expect(open.filter(({ messageId }) => messageId === scene.messageId)).toEqual([]);
    });
  });

  test("a lay-up that begins holds back what the meter says, the calendar goes", async () => {
    const scene = await gathered();
    const deps = depsOn();
    await deps.database.asAccount(scene.accountId, async (tx) => {
      const from = new Date(Date.now() - DAY).toISOString().slice(0, 10);
      await addLayUp(tx, scene.caller, scene.vehicle.id, { from, to: null, reason: null }, deps);
    });
    const { result, text } = await sendAll(scene, deps);
    tally.tries += 1;
    expect(["sent", "suppressed"]).toContain(result);
    if (result === "sent") expect(text).toContain("laid up");
  });
});
