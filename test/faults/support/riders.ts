import type pg from "pg";
import { uuidv7 } from "uuidv7";
import { createAccount } from "../../../src/application/accounts.ts";
import { recordReading } from "../../../src/application/readings/record-reading.ts";
import { addTask } from "../../../src/application/tasks.ts";
import { addVehicle } from "../../../src/application/vehicles.ts";
import { PEOPLE } from "../../../src/content/demo/people.ts";
import { OIL } from "../../../src/content/demo/tasks.ts";
import { connect } from "../../../src/database/client.ts";
import { databaseOn } from "../../../src/database/tenancy.ts";

const DAY = 86_400_000;

/** When reminders come due: the first at `fromNowMs`, each next one `everyMs` later. */
export interface Pace {
  readonly fromNowMs: number;
  readonly everyMs: number;
}

const LONG_DUE: Pace = { fromNowMs: -60_000, everyMs: 0 };
/** In the order in which they refer to each other. */
const COPIED = ["account", "member", "vehicle", "task", "reading", "reminder"] as const;

/**
 * Adds accounts of one rider with one machine each, whose oil change has been due for days, and one
 * reminder of it that nobody has sent yet. The first is made by the verbs, the others are copies;
 * the addresses are `rider0@example.org`, `rider1@example.org` and so on.
 */
export async function addRiders(
  appUrl: string,
  owner: pg.Pool,
  count: number,
  pace: Pace = LONG_DUE,
): Promise<void> {
  const accountId = await addModelRider(appUrl);
  const ids = await idsOf(owner, accountId);
  for (const table of COPIED) await copy(owner, table, accountId, ids, count - 1);
  await owner.query(
    `update reminder r set planned_for = now() + ($1::float8 + $2::float8 * nth.n) * interval '1 millisecond'
     from (select account_id, id, row_number() over (order by account_id = $3::uuid desc, id) - 1 as n
           from reminder where message_id is null and (account_id = $3::uuid or account_id in
             (select md5($3::text || n)::uuid from generate_series(1, $4::int) n))) nth
     where r.account_id = nth.account_id and r.id = nth.id`,
    [pace.fromNowMs, pace.everyMs, accountId, count - 1],
  );
}

/** Every id that the model's rows have, by which they refer to each other. */
async function idsOf(owner: pg.Pool, accountId: string): Promise<string[]> {
  const tables = COPIED.filter((table) => table !== "account");
  const { rows } = await owner.query<{ id: string }>(
    tables
      .map((table) => `select id::text from ${table} where account_id = $1`)
      .join(" union all "),
    [accountId],
  );
  return [accountId, ...rows.map(({ id }) => id)];
}

/** Copies the model's rows of a table, each id replaced wherever it stands by one made of it and the copy's number. */
async function copy(
  owner: pg.Pool,
  table: (typeof COPIED)[number],
  accountId: string,
  ids: readonly string[],
  copies: number,
): Promise<void> {
  const renamed = ids.reduce(
    (text, id) => `replace(${text}, '${id}', md5('${id}' || n)::uuid::text)`,
    `replace(to_jsonb(t)::text, 'rider0@', 'rider' || n || '@')`,
  );
  const of = table === "account" ? "id" : "account_id";
  const columns = await writtenColumns(owner, table);
  await owner.query(
    `insert into ${table} (${columns}) select ${columns} from (
       select (jsonb_populate_record(null::${table}, (${renamed})::jsonb)).*
       from ${table} t, generate_series(1, $2::int) n where t.${of} = $1) copied`,
    [accountId, copies],
  );
}

/** All but those that the database works out itself. */
async function writtenColumns(owner: pg.Pool, table: string): Promise<string> {
  const { rows } = await owner.query<{ columns: string }>(
    `select string_agg(quote_ident(attname), ', ' order by attnum) as columns from pg_attribute
     where attrelid = $1::regclass and attnum > 0 and not attisdropped and attgenerated = ''`,
    [table],
  );
  return String(rows[0]?.columns);
}

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

async function addModelRider(appUrl: string): Promise<string> {
  const connections = connect(appUrl, { connections: 2, onBroken: () => {} });
  const database = databaseOn(connections);
  const mailDomain = "example.org";
  const deps = { database, ids: uuidv7, clock: () => Date.now() - 3 * DAY, mailDomain };
  const accountId = uuidv7();
  const caller = { accountId, keyId: "test", scopes: ["read", "write", "readings:write"] as const };
  try {
    await database.asAccount(accountId, async (tx) => {
      const [person] = PEOPLE;
      const reminders = { ...person.reminders, askForReadings: false };
      const owner = { ...person, email: "rider0@example.org", reminders };
      const account = { name: "Invented riders", sandbox: false, clock: null, owner };
      const key = { publicId: accountId, secretHash: new Uint8Array(32) };
      await createAccount(tx, account, key, deps);
      const { vehicle } = await addVehicle(tx, caller, MACHINE, {}, deps);
      const stated = { on: "2020-06-01", reading: 1000 };
      await addTask(tx, caller, vehicle.id, { ...OIL, points: [], statedWork: stated }, deps);
      const at = deps.clock();
      const reading = () => ({ value: 9000, unit: "km" as const, at, source: "rider" as const });
      await recordReading(tx, caller, vehicle.id, reading, {}, deps);
    });
  } finally {
    await connections.close();
  }
  return accountId;
}
