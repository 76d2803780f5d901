import { uuidv7 } from "uuidv7";
import { createAccount } from "../application/accounts.ts";
import type { Caller } from "../application/caller.ts";
import type { Deps } from "../application/deps.ts";
import { addLayUp } from "../application/lay-ups.ts";
import { addMember } from "../application/people.ts";
import { recordReading } from "../application/readings/record-reading.ts";
import { addTask } from "../application/tasks.ts";
import { addVehicle } from "../application/vehicles.ts";
import { logWork } from "../application/work-done/log-work.ts";
import { apiConfig } from "../config.ts";
import { type DemoMachine, MACHINES } from "../content/demo/machines.ts";
import { DEMO_ACCOUNT, PEOPLE } from "../content/demo/people.ts";
import { numbersFrom, type ReadDay, ridden } from "../content/demo/ridden.ts";
import { foundAt, visitsOf } from "../content/demo/work.ts";
import { connect } from "../database/client.ts";
import { databaseOn } from "../database/tenancy.ts";
import { addDays, type Instant, type PlainDate } from "../domain/calendar/plain-date.ts";
import { dateAt, noonOf } from "../domain/calendar/zone.ts";
import { makeApiKey } from "../http/api-key.ts";
import { mailDomain } from "../mail-domain.ts";
import { configured } from "./configured.ts";

/** Always the same, so that a second loading finds the first. */
const ACCOUNT_ID = "01900000-0000-7000-8000-00000000f0e1";
/**
 * The demonstration is loaded as if yesterday: what fell due by then is planned for this morning at
 * the latest, so that a mailbox that has just been started is not empty.
 */
const AGO_MS = 30 * 3_600_000;

const config = configured(apiConfig);
const connections = connect(config.databaseUrl, {
  connections: 4,
  onBroken: (error) => console.error(error.message),
});
const yesterday = Date.now() - AGO_MS;
const deps: Deps = {
  database: databaseOn(connections),
  ids: uuidv7,
  clock: () => yesterday,
  mailDomain: mailDomain(config.mailFrom.address),
};
const caller: Caller = {
  accountId: ACCOUNT_ID,
  keyId: "demonstration",
  scopes: ["read", "readings:write", "write", "admin"],
};

const key = await loadAccount();
if (key === null) console.log("The demonstration is there already.");
else {
  const members = await loadMembers();
  for (const [index, machine] of MACHINES.entries()) {
    await loadMachine(machine, members[machine.member] ?? "", numbersFrom(1000 + index));
  }
  console.log(JSON.stringify({ apiKey: key }));
}
await connections.close();

/** The key is shown once: here, when the account is made. */
async function loadAccount(): Promise<string | null> {
  const { publicId, secretHash, text } = makeApiKey();
  return deps.database.asAccount(ACCOUNT_ID, async (tx) => {
    if (await tx.accounts.find()) return null;
    const input = { name: DEMO_ACCOUNT, sandbox: false, clock: null, owner: PEOPLE[0] };
    await createAccount(tx, input, { publicId, secretHash }, deps);
    return text;
  });
}

async function loadMembers(): Promise<string[]> {
  return deps.database.asAccount(ACCOUNT_ID, async (tx) => {
    const ids = [(await tx.owner()).id];
    for (const person of PEOPLE.slice(1)) {
      ids.push((await addMember(tx, caller, person, {}, deps)).member.id);
    }
    return ids;
  });
}

async function loadMachine(
  machine: DemoMachine,
  memberId: string,
  random: () => number,
): Promise<void> {
  const zone = PEOPLE[machine.member].timeZone;
  const today = dateAt(yesterday, zone);
  const dateOf = (daysAgo: number): PlainDate => addDays(today, -daysAgo);
  const days = ridden(machine, (daysAgo) => Number(dateOf(daysAgo).slice(5, 7)) - 1, random);
  const { vehicleId, taskIds } = await addMachine(machine, memberId, dateOf);
  const visits = visitsOf(machine, days);
  for (const day of days) {
    const visit = visits.find(({ at }) => at === day);
    const at = noonOf(dateOf(day.daysAgo), zone);
    if (machine.hoursMeter) await read(vehicleId, day.hours, "h", at);
    if (!visit) await read(vehicleId, day.total, machine.meterUnit, at);
    else await work(vehicleId, machine, visit, taskIds, dateOf(day.daysAgo), random);
  }
  if (machine.slips) await slip(vehicleId, machine, days.at(-1));
}

async function addMachine(
  machine: DemoMachine,
  memberId: string,
  dateOf: (daysAgo: number) => PlainDate,
): Promise<{ vehicleId: string; taskIds: Map<string, string> }> {
  return deps.database.asAccount(ACCOUNT_ID, async (tx) => {
    const { name, kind, meterUnit, group, layUp } = machine;
    const unknown = {
      make: null,
      model: null,
      modelYear: null,
      registration: null,
      frameNumber: null,
    };
    const { vehicle } = await addVehicle(
      tx,
      caller,
      {
        ...{ name, kind, meterUnit, group, ...unknown, hoursMeter: machine.hoursMeter ?? false },
        ...{ declaredPerYear: null, hemisphere: null, disposedOn: null, offRoad: false },
        ...{ responsibleMemberId: memberId, scheduleId: null, externalId: null },
        inServiceOn: dateOf(machine.newFor),
        notes: "Invented for the demonstration.",
      },
      {},
      deps,
    );
    if (layUp) {
      const to = layUp.toDaysAgo === null ? null : dateOf(layUp.toDaysAgo);
      const input = { from: dateOf(layUp.fromDaysAgo), to, reason: layUp.reason };
      await addLayUp(tx, caller, vehicle.id, input, deps);
    }
    const taskIds = new Map<string, string>();
    for (const task of machine.tasks) {
      const points = task.points.map((point) => ({ ...point, id: uuidv7() }));
      const input = { ...task, points, statedWork: task.statedWork ?? ("never" as const) };
      taskIds.set(
        task.title,
        (await addTask(tx, caller, vehicle.id, input, deps)).assessed.task.id,
      );
    }
    return { vehicleId: vehicle.id, taskIds };
  });
}

async function read(
  vehicleId: string,
  value: number,
  unit: "km" | "mi" | "h",
  at: Instant,
): Promise<void> {
  await deps.database.onceForReading({ accountId: ACCOUNT_ID, vehicleId }, null, (tx) =>
    recordReading(tx, caller, vehicleId, () => ({ value, unit, at, source: "rider" }), {}, deps),
  );
}

async function work(
  vehicleId: string,
  machine: DemoMachine,
  { at, tasks }: ReturnType<typeof visitsOf>[number],
  taskIds: ReadonlyMap<string, string>,
  doneOn: PlainDate,
  random: () => number,
): Promise<void> {
  const findings = tasks.flatMap((task) =>
    task.points.map((point) => ({
      point: point.name,
      asFound: foundAt(point, random),
      condition: { cold: true },
    })),
  );
  const input = {
    doneAt: doneOn,
    reading: { value: at.total, unit: machine.meterUnit },
    taskIds: tasks.map(({ title }) => taskIds.get(title) ?? ""),
    performedBy: { name: "Toni, workshop lead", trade: "workshop" as const },
    findings,
    parts: [],
    minutes: tasks.reduce((sum, { minutes }) => sum + (minutes ?? 15), 0),
    ...{ labour: null, cost: null, externalId: null },
    notes: "Invented for the demonstration.",
  };
  await deps.database.asAccount(ACCOUNT_ID, (tx) =>
    logWork(tx, caller, vehicleId, input, {}, deps),
  );
}

/** Somebody types one digit twice: the reading is held until it is put right. */
async function slip(
  vehicleId: string,
  machine: DemoMachine,
  last: ReadDay | undefined,
): Promise<void> {
  if (!last) return;
  const meant = String(last.total + 40);
  const typed = Number(`${meant.slice(0, 1)}${meant}`);
  await read(vehicleId, typed, machine.meterUnit, yesterday);
}
