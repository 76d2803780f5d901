import { uuidv7 } from "uuidv7";
import { createAccount } from "../../../src/application/accounts.ts";
import { Links } from "../../../src/application/links.ts";
import type { SendDeps } from "../../../src/application/mail/send-message.ts";
import { sweep } from "../../../src/application/mail/sweep.ts";
import type { Mail } from "../../../src/application/outbox-ports.ts";
import { addMember } from "../../../src/application/people.ts";
import type { Transaction } from "../../../src/application/ports.ts";
import { recordReading } from "../../../src/application/readings/record-reading.ts";
import type { Reading, Task } from "../../../src/application/records.ts";
import { addTask } from "../../../src/application/tasks.ts";
import { addVehicle } from "../../../src/application/vehicles.ts";
import { PEOPLE } from "../../../src/content/demo/people.ts";
import { OIL } from "../../../src/content/demo/tasks.ts";
import type { Connections } from "../../../src/database/client.ts";
import { outboxOn } from "../../../src/database/outbox.ts";
import { databaseOn } from "../../../src/database/tenancy.ts";
import { mailRenderer } from "../../../src/render/mail/renderer.ts";

export const DAY = 86_400_000;

const MACHINE = {
  ...({ name: "Single 150", kind: "motorcycle", meterUnit: "km", hoursMeter: false } as const),
  ...{ make: null, model: null, modelYear: null, registration: null, frameNumber: null },
  ...{ group: null, inServiceOn: "2020-01-01", declaredPerYear: null, hemisphere: null },
  ...{ scheduleId: null, disposedOn: null, offRoad: false, notes: null, externalId: null },
};

/** A message that waits, of a rider whose machine has an oil change and a fork check overdue. */
export interface WaitingMessage {
  accountId: string;
  messageId: string;
  caller: { accountId: string; keyId: string; scopes: readonly ["read", "write", "admin"] };
  ownerId: string;
  riderId: string;
  vehicleId: string;
  reading: Reading;
  /** Counts distance alone. */
  oil: Task;
  /** Counts months alone. */
  fork: Task;
}

/** What sending takes; its mail is put into `handed`, and `afterClaim` runs between claim and last look. */
export function sendingOn(
  connections: Connections,
  handed: Mail[],
  afterClaim: (accountId: string) => Promise<void> = async () => {},
): SendDeps {
  const outbox = outboxOn(connections);
  return {
    database: databaseOn(connections),
    outbox: {
      ...outbox,
      async claim(accountId, ...rest) {
        const claimed = await outbox.claim(accountId, ...rest);
        await afterClaim(accountId);
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
    ...{ ids: uuidv7, clock: Date.now, mailDomain: "example.org" },
    ...{ leaseMs: 20_000, longestSendMs: 1_000 },
  };
}

/** Makes an account of such a rider with the verbs, three days ago, and lets the sweep gather. */
export async function waitingMessage(deps: SendDeps): Promise<WaitingMessage> {
  const accountId = uuidv7();
  const caller = { accountId, keyId: "test", scopes: ["read", "write", "admin"] as const };
  const past = { ...deps, clock: () => Date.now() - 3 * DAY };
  const made = await deps.database.asAccount(accountId, (tx) => fill(tx, caller, past));
  const now = await deps.outbox.time();
  while ((await sweep(now, null, deps)) > 0);
  const waiting = await deps.outbox.waiting("mail", now, 100, null);
  const message = waiting.find((one) => one.accountId === accountId);
  if (!message) throw new Error("Nothing was gathered.");
  return { ...made, accountId, caller, messageId: message.messageId };
}

async function fill(tx: Transaction, caller: WaitingMessage["caller"], deps: SendDeps) {
  const [owner, , person] = PEOPLE;
  const account = { name: "Invented riders", sandbox: false, clock: null, owner };
  const key = { publicId: caller.accountId, secretHash: new Uint8Array(32) };
  await createAccount(tx, account, key, deps);
  const { id: ownerId } = await tx.owner();
  const rider = { ...person, reminders: { ...person.reminders, askForReadings: false } };
  const { member } = await addMember(tx, caller, rider, {}, deps);
  const machine = { ...MACHINE, responsibleMemberId: member.id };
  const { vehicle } = await addVehicle(tx, caller, machine, {}, deps);
  const add = async (title: string, every: NonNullable<Task["plan"]["every"]>) => {
    const { first: _, ...plan } = OIL.plan;
    const statedWork = { on: "2020-06-01", reading: 1000 };
    const task = { ...OIL, title, points: [], statedWork, plan: { ...plan, every } };
    return (await addTask(tx, caller, vehicle.id, task, deps)).assessed.task;
  };
  const oil = await add("Oil change", { distance: { km: 4000 } });
  const fork = await add("Fork check", { months: 24 });
  const at = deps.clock();
  const read = () => ({ value: 9000, unit: "km" as const, at, source: "rider" as const });
  const { reading } = await recordReading(tx, caller, vehicle.id, read, {}, deps);
  return { ownerId, riderId: member.id, vehicleId: vehicle.id, reading, oil, fork };
}
