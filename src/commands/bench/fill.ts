import { uuidv7 } from "uuidv7";
import { createAccount } from "../../application/accounts.ts";
import type { Caller } from "../../application/caller.ts";
import type { Deps } from "../../application/deps.ts";
import { recordReading } from "../../application/readings/record-reading.ts";
import { addTask } from "../../application/tasks.ts";
import { addVehicle } from "../../application/vehicles.ts";
import { PEOPLE } from "../../content/demo/people.ts";
import { BRAKE_FLUID, CHAIN, OIL, PADS, TYRES, VALVES } from "../../content/demo/tasks.ts";
import type { Connections } from "../../database/client.ts";
import { databaseOn } from "../../database/tenancy.ts";
import { MS_PER_DAY } from "../../domain/calendar/plain-date.ts";
import { makeApiKey } from "../../http/api-key.ts";

export interface Filled {
  key: string;
  vehicleIds: string[];
  /** What every machine's meter showed last, km. */
  lastKm: number;
}

const TASKS = [VALVES, OIL, CHAIN, PADS, TYRES, BRAKE_FLUID, VALVES, OIL, PADS, TYRES];
const READINGS = 15;

/** An account with so many machines, each with ten tasks and fifteen readings of a steady rider. */
export async function fill(connections: Connections, machines: number): Promise<Filled> {
  const now = Date.now();
  const deps: Deps = {
    database: databaseOn(connections),
    ids: uuidv7,
    clock: () => now,
    mailDomain: "example.org",
  };
  const accountId = uuidv7();
  const scopes = ["read", "readings:write", "write", "admin"] as const;
  const caller: Caller = { accountId, keyId: "bench", scopes };
  const { publicId, secretHash, text } = makeApiKey();
  await deps.database.asAccount(accountId, (tx) => {
    const input = { name: "Bench", sandbox: false, clock: null, owner: PEOPLE[0] };
    return createAccount(tx, input, { publicId, secretHash }, deps);
  });
  const vehicleIds: string[] = [];
  for (let n = 0; n < machines; n += 1) vehicleIds.push(await addMachine(deps, caller, now));
  return { key: text, vehicleIds, lastKm: READINGS * 200 };
}

async function addMachine(deps: Deps, caller: Caller, now: number): Promise<string> {
  const { accountId } = caller;
  const vehicleId = await deps.database.asAccount(accountId, async (tx) => {
    const machine = {
      ...({ name: "Bench", kind: "motorcycle", meterUnit: "km", hoursMeter: false } as const),
      ...{ make: null, model: null, modelYear: null, registration: null, frameNumber: null },
      ...{ group: null, inServiceOn: "2026-01-01", declaredPerYear: null, hemisphere: null },
      ...{
        responsibleMemberId: null,
        scheduleId: null,
        disposedOn: null,
        offRoad: false,
        notes: null,
      },
      externalId: null,
    };
    const { vehicle } = await addVehicle(tx, caller, machine, {}, deps);
    for (const task of TASKS) {
      const points = task.points.map((point) => ({ ...point, id: uuidv7() }));
      await addTask(tx, caller, vehicle.id, { ...task, points, statedWork: "never" }, deps);
    }
    return vehicle.id;
  });
  for (let n = 1; n <= READINGS; n += 1) {
    const at = now - (READINGS - n + 1) * 14 * MS_PER_DAY;
    const read = () => ({ value: n * 200, unit: "km" as const, at, source: "rider" as const });
    await deps.database.onceForReading({ accountId, vehicleId }, null, (tx) =>
      recordReading(tx, caller, vehicleId, read, {}, deps),
    );
  }
  return vehicleId;
}
