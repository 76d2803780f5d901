import { afterAll, beforeAll, describe, expect, test } from "vitest";
import { addLayUp } from "../../src/application/lay-ups.ts";
import { type SendDeps, sendMessage } from "../../src/application/mail/send-message.ts";
import type { Mail } from "../../src/application/outbox-ports.ts";
import { removeMember } from "../../src/application/people.ts";
import type { Transaction } from "../../src/application/ports.ts";
import { correctReading } from "../../src/application/readings/settle-reading.ts";
import type { Member } from "../../src/application/records.ts";
import { cancelReminder, deferReminder } from "../../src/application/reminders.ts";
import { changeTask, removeTask } from "../../src/application/tasks.ts";
import { changeVehicle, removeVehicle } from "../../src/application/vehicles.ts";
import { logWork } from "../../src/application/work-done/log-work.ts";
import { connected } from "../support/connections.ts";
import { report } from "./support/report.ts";
import {
  DAY,
  sendingOn,
  type WaitingMessage,
  waitingMessage,
} from "./support-time/waiting-message.ts";

type Change = (tx: Transaction, scene: WaitingMessage, deps: SendDeps) => Promise<unknown>;

const dayFromNow = (days: number): string =>
  new Date(Date.now() + days * DAY).toISOString().slice(0, 10);

/** Open reminders of the oil change that the waiting message carries. */
async function carried(tx: Transaction, { oil, messageId }: WaitingMessage) {
  const { items } = await tx.reminders.list({ taskId: oil.id }, { limit: 20, after: null });
  return items.filter((one) => one.messageId === messageId && one.status === "planned");
}

async function changeRider(
  tx: Transaction,
  { riderId }: WaitingMessage,
  change: Partial<Member>,
  deps: SendDeps,
) {
  const rider = await tx.members.find(riderId);
  await tx.machine.replanOf(riderId, deps.clock());
  await tx.members.update(riderId, rider?.version ?? 0, change);
}

function handToOwner(tx: Transaction, scene: WaitingMessage, deps: SendDeps) {
  const { vehicleId, caller, ownerId } = scene;
  const toOwner = { responsibleMemberId: ownerId };
  return changeVehicle(tx, caller, vehicleId, "any", (one) => ({ ...one, ...toOwner }), deps);
}

/** What takes the oil change off the list. */
const CHANGES: Record<string, Change> = {
  "the work is logged": (tx, { vehicleId, oil, caller }, deps) => {
    const work = {
      ...{ doneAt: Date.now(), reading: null, taskIds: [oil.id], performedBy: { name: "Toni" } },
      ...{ findings: [], parts: [], minutes: null, labour: null, cost: null, notes: null },
      externalId: null,
    };
    return logWork(tx, caller, vehicleId, work, {}, deps);
  },
  "the interval is edited": (tx, { oil, vehicleId, caller }, deps) => {
    const every = { distance: { km: 90_000 } };
    const edited = { plan: { ...oil.plan, every } };
    return changeTask(tx, caller, vehicleId, oil.id, "any", (one) => ({ ...one, ...edited }), deps);
  },
  "the reading is corrected": (tx, { reading, vehicleId, caller }, deps) => {
    const correction = { value: 1900, unit: null, at: null };
    return correctReading(tx, caller, vehicleId, reading.id, correction, deps);
  },
  "the task is deleted": (tx, { oil, vehicleId, caller }, deps) =>
    removeTask(tx, caller, vehicleId, oil.id, "any", deps),
  "the task is paused": (tx, { oil, vehicleId, caller }, deps) => {
    const paused = { plan: { ...oil.plan, paused: true } };
    return changeTask(tx, caller, vehicleId, oil.id, "any", (one) => ({ ...one, ...paused }), deps);
  },
  "the machine is laid up": (tx, { vehicleId, caller }, deps) =>
    addLayUp(
      tx,
      caller,
      vehicleId,
      { from: dayFromNow(-1), to: dayFromNow(90), reason: null },
      deps,
    ),
  "the rider cancels the reminder": async (tx, scene, deps) => {
    for (const { id } of await carried(tx, scene)) {
      await cancelReminder(tx, scene.caller, id, null, deps);
    }
  },
  "the rider defers it": async (tx, scene, deps) => {
    for (const { id } of await carried(tx, scene)) {
      await deferReminder(tx, scene.caller, id, { untilOn: dayFromNow(40) }, deps);
    }
  },
};

/** What must be left of the oil change, to speak later; nothing after the other changes. */
const SPEAKS_LATER = new Set(["the machine is laid up", "the rider defers it"]);

/** What takes everything of the machine off the rider's list. */
const CHANGES_OF_ALL: Record<string, Change> = {
  "the rider unsubscribes": (tx, scene, deps) =>
    changeRider(tx, scene, { unsubscribedAt: Date.now() }, deps),
  "the address is refused elsewhere": (tx, scene, deps) =>
    changeRider(tx, scene, { emailSuppressed: "550 5.1.1" }, deps),
  "the machine is disposed of": (tx, { vehicleId, caller }, deps) => {
    const disposed = { disposedOn: dayFromNow(0) };
    return changeVehicle(tx, caller, vehicleId, "any", (one) => ({ ...one, ...disposed }), deps);
  },
  "the machine is deleted": (tx, { vehicleId, caller }, deps) =>
    removeVehicle(tx, caller, vehicleId, "any", deps),
  "the machine is handed to another member": handToOwner,
};

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
      ...{ lost: tally.due - tally.sent, repeated: 0 },
      note: `${tally.unwanted} sent that were not wanted any more`,
    });
    await stage.stop();
  });

  describe.each(["before the claim", "after the claim"] as const)("%s", (when) => {
    async function sentAfter(change: Change) {
      const plain = sendingOn(stage.connections, handed);
      const scene = await waitingMessage(plain);
      const apply = () =>
        plain.database.asAccount(scene.accountId, async (tx) => {
          await change(tx, scene, plain);
        });
      if (when === "before the claim") await apply();
      const deps = when === "after the claim" ? sendingOn(stage.connections, handed, apply) : plain;
      handed.length = 0;
      const now = await deps.outbox.time();
      const { result } = await sendMessage(scene.accountId, scene.messageId, now, deps);
      const left = await plain.database.asAccount(scene.accountId, async (tx) => ({
        message: await tx.messages.find(scene.messageId),
        reminders: (await tx.reminders.list({}, { limit: 50, after: null })).items,
      }));
      return { ...left, result, scene, text: handed[0]?.text ?? "" };
    }

    test.each(Object.entries(CHANGES))("%s: the rest goes without it", async (what, change) => {
      const { result, text, scene, reminders } = await sentAfter(change);
      const isWanted = text.includes("# Fork check");
      const isUnwanted = text.includes("# Oil change");
      tally.tries += 1;
      tally.due += 1;
      tally.sent += Number(isWanted);
      tally.unwanted += Number(isUnwanted);
      expect({ result, isWanted, isUnwanted }).toEqual({
        result: "sent",
        isWanted: true,
        isUnwanted: false,
      });
      const ofOil = reminders.filter(({ taskId }) => taskId === scene.oil.id);
      expect(ofOil.filter(({ status }) => status === "sent")).toEqual([]);
      const open = ofOil.filter(({ status }) => status === "planned" || status === "deferred");
      for (const { messageId, plannedFor } of open) {
        expect(messageId).toBeNull();
        expect(plannedFor).toBeGreaterThan(Date.now());
      }
      if (SPEAKS_LATER.has(what)) expect(open.length).toBeGreaterThan(0);
    });

    test.each(Object.entries(CHANGES_OF_ALL))("%s: nothing goes", async (_, change) => {
      const { result, message, reminders, scene } = await sentAfter(change);
      tally.tries += 1;
      tally.unwanted += handed.length;
      expect(result).toBe("suppressed");
      expect(handed).toEqual([]);
      const lastAnswer = expect.stringMatching(/^[A-Z].+\.$/);
      expect(message).toMatchObject({ status: "suppressed", lastAnswer });
      const open = reminders.filter(({ status }) => status === "planned" || status === "deferred");
      expect(open.filter(({ messageId }) => messageId === scene.messageId)).toEqual([]);
    });

    test("the rider is removed: their message with them, and who takes over is told", async () => {
      const { message, reminders, scene } = await sentAfter(async (tx, scene, deps) => {
        await handToOwner(tx, scene, deps);
        await removeMember(tx, scene.caller, scene.riderId, "any", deps);
      });
      tally.tries += 1;
      tally.unwanted += handed.length;
      expect(handed).toEqual([]);
      expect(message).toBeNull();
      const toTell = reminders.map(({ memberId, taskId, status }) => [memberId, taskId, status]);
      expect(toTell).toContainEqual([scene.ownerId, scene.oil.id, "planned"]);
      expect(toTell).toContainEqual([scene.ownerId, scene.fork.id, "planned"]);
    });
  });
});
