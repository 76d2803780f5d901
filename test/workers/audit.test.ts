import { uuidv7 } from "uuidv7";
import { afterEach, expect, test } from "vitest";
import { createAccount } from "../../src/application/accounts.ts";
import { type AuditDeps, auditPlans } from "../../src/application/audit.ts";
import { PLANNED_BY } from "../../src/application/machine/planned-by.ts";
import { addTask } from "../../src/application/tasks.ts";
import { addVehicle } from "../../src/application/vehicles.ts";
import { PEOPLE } from "../../src/content/demo/people.ts";
import { OIL } from "../../src/content/demo/tasks.ts";
import { auditStoreOn } from "../../src/database/audit.ts";
import { databaseOn } from "../../src/database/tenancy.ts";
import { connected } from "../support/connections.ts";

const DAY = 86_400_000;

const MACHINE = {
  ...({ name: "Single 150", kind: "motorcycle", meterUnit: "km", hoursMeter: false } as const),
  ...{ make: null, model: null, modelYear: null, registration: null, frameNumber: null },
  ...{ group: null, inServiceOn: "2020-01-01", declaredPerYear: null, hemisphere: null },
  ...{
    responsibleMemberId: null,
    scheduleId: null,
    disposedOn: null,
    offRoad: false,
    notes: null,
    externalId: null,
  },
};

let stage: Awaited<ReturnType<typeof connected>>;
afterEach(() => stage.stop());

/** Machines whose oil change fell due years ago, entered so many days ago. */
async function machines(count: number, daysAgo: number): Promise<AuditDeps> {
  stage = await connected();
  const deps: AuditDeps = {
    database: databaseOn(stage.connections),
    audit: auditStoreOn(stage.connections),
    ids: uuidv7,
    clock: () => Date.now() - daysAgo * DAY,
    mailDomain: "example.org",
    onFault: (fault) => {
      throw fault;
    },
  };
  const accountId = uuidv7();
  const caller = { accountId, keyId: "test", scopes: ["read", "write"] as const };
  await deps.database.asAccount(accountId, async (tx) => {
    const input = { name: "Invented riders", sandbox: false, clock: null, owner: PEOPLE[0] };
    await createAccount(tx, input, { publicId: accountId, secretHash: new Uint8Array(32) }, deps);
    for (let n = 0; n < count; n += 1) {
      const { vehicle } = await addVehicle(tx, caller, MACHINE, {}, deps);
      const task = { ...OIL, points: [], statedWork: { on: "2021-06-01", reading: 1000 } };
      await addTask(tx, caller, vehicle.id, task, deps);
    }
  });
  return { ...deps, clock: Date.now };
}

async function owned(text: string): Promise<Record<string, unknown>[]> {
  const client = await stage.connections.pool.connect();
  try {
    await client.query("begin; select set_config('forewheel.scope', 'worker', true)");
    const { rows } = await client.query(text);
    await client.query("commit");
    return rows;
  } finally {
    client.release();
  }
}

test("what older code or older zone rules planned is planned again, once a day, by one worker", async () => {
  const deps = await machines(3, 0);
  const { pool } = stage.connections;
  const [{ id: account } = { id: "" }] = await owned("select id::text from account");
  await pool.query(
    `begin; select set_config('forewheel.account', '${account}', true); update vehicle set planned_by = '0/2001a'; commit`,
  );
  const now = Date.now();
  const answers = await Promise.all([auditPlans(now, deps), auditPlans(now, deps)]);
  expect(answers).toContainEqual({ replanned: 3, overlooked: 0 });
  expect(answers).toContain(null);
  expect(await auditPlans(now, deps)).toBeNull();
  const rows = await owned("select distinct planned_by from vehicle");
  expect(rows).toEqual([{ planned_by: PLANNED_BY }]);
  expect(await auditPlans(now + DAY, deps)).toEqual({ replanned: 0, overlooked: 0 });
});

test("a reminder past its hour by a day and in no message is counted", async () => {
  const deps = await machines(2, 4);
  const found = await auditPlans(Date.now(), deps);
  expect(found?.overlooked).toBe(2);
});

test("a task that was told to followers, but of which no reminder was ever planned, is counted", async () => {
  const deps = await machines(1, 12);
  const { pool } = stage.connections;
  const [{ id: account } = { id: "" }] = await owned("select id::text from account");
  await pool.query(
    `begin; select set_config('forewheel.account', '${account}', true); delete from reminder; commit`,
  );
  expect((await auditPlans(Date.now(), deps))?.overlooked).toBe(1);
});

test("an audit whose worker died is taken up by another after an hour", async () => {
  const deps = await machines(1, 0);
  const noon = Date.parse("2026-05-01T12:00:00Z");
  expect(await deps.audit.begin(noon)).toBe(true);
  expect(await auditPlans(noon + DAY / 48, deps)).toBeNull();
  expect(await auditPlans(noon + DAY / 12, deps)).not.toBeNull();
});
