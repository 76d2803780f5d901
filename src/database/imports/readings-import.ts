import type {
  KnownBefore,
  ReadingsImport,
  SettledRow,
  StagedReading,
} from "../../application/imports/ports.ts";
import type { New } from "../../application/ports.ts";
import type { MeterName, Reading, ReadingSource } from "../../application/records.ts";
import type { Bulk } from "../bulk-transaction.ts";
import { cursorRows } from "../cursor.ts";
import { inMs } from "../sql.ts";
import { machineStore } from "../transaction.ts";
import { type Cell, copyRows } from "./copy-rows.ts";
import { ledgerOn } from "./ledger.ts";

const FETCHED = 5000;

/** Instants travel as whole milliseconds, which are written, read and sorted quicker than texts of them. */
const TABLES = `
  create temp table import_staged (line int, vehicle_id uuid, meter text collate "C", at bigint, value float8,
    unit text, source text, note text, external_id text, at_given boolean, unit_given boolean) on commit drop;
  create temp table import_placed (id uuid, vehicle_id uuid, meter text, at bigint, value float8, unit text,
    total float8, status text, reasons jsonb, source text, note text, external_id text) on commit drop;
  set local work_mem = '64MB'`;

/** What differs is told by the name that the field has in the API, as of a reading posted alone. */
const differs = (other: string, at: string) => `case
    when s.at_given and s.at <> ${at} then 'at'
    when s.unit_given and s.unit <> ${other}.unit then 'unit'
    when s.meter <> ${other}.meter then 'meter'
    when s.value <> ${other}.value then 'value'
    when s.note is distinct from ${other}.note then 'note'
    when s.vehicle_id <> ${other}.vehicle_id then 'vehicleId' end`;

const SETTLE = `create temp table import_settled on commit drop as
  with named as (
    select *, min(line) over (partition by external_id) as first_line
    from import_staged where external_id is not null
  )
  select s.line, r.id as reading_id,
    case when r.id is null then ${differs("f", "f.at")}
         else ${differs("r", `${inMs("r.at")}::bigint`)} end as differs
  from named s
    left join reading r on r.account_id = current_account() and r.external_id = s.external_id
    left join import_staged f on f.line = s.first_line and s.line <> s.first_line
  where r.id is not null or f.line is not null`;

const TAKE_OUT = "delete from import_staged s using import_settled t where s.line = t.line";

const LOCK = `select from vehicle v
  where v.account_id = current_account() and v.id in (select vehicle_id from import_staged)
  order by v.id for no key update`;

const STAGED = `select line, vehicle_id::text, meter, at::float8, value, unit, source, note, external_id
  from import_staged order by vehicle_id, meter, at, line`;

const knownFrom = (
  before: number,
) => `select r.vehicle_id::text, r.meter, ${inMs("r.at")}, r.value, r.unit, r.total,
    r.status, r.confirmed, r.id::text
  from (select vehicle_id, meter, min(at) as first_at from import_staged group by vehicle_id, meter) s
  cross join lateral (select (
      select o.at from reading o where o.account_id = current_account() and o.vehicle_id = s.vehicle_id
        and o.meter = s.meter and o.status <> 'superseded' and o.at < to_timestamp(s.first_at::float8 / 1000)
      order by o.at desc offset ${before - 1} limit 1) as since) b
  join reading r on r.account_id = current_account() and r.vehicle_id = s.vehicle_id and r.meter = s.meter
    and r.status <> 'superseded' and r.at >= coalesce(b.since, '-infinity')
  order by r.vehicle_id, r.meter collate "C", r.at, r.id`;

const INSERT = `insert into reading (account_id, id, vehicle_id, meter, at, value, unit, total, status, reasons,
    source, note, external_id, created_at, updated_at)
  select (select current_account()), id, vehicle_id, meter, to_timestamp(at::float8 / 1000), value, unit, total,
    status, reasons, source, note, external_id, $1::timestamptz, $1::timestamptz
  from import_placed`;

/** Row-level security takes no COPY, so that rows are copied beside and moved on by one statement. */
export async function readingsImportOn(bulk: Bulk, accountId: string): Promise<ReadingsImport> {
  const run = (text: string) => bulk.turn(() => bulk.client.query(text));
  await run(TABLES);
  return {
    ...ledgerOn(bulk.sql, accountId),
    machine: machineStore(bulk.sql),
    stage: (rows) => copyRows(bulk, "import_staged", rows, stagedCells),
    settleExternalIds: () => settle(bulk),
    async lockStaged() {
      await run("analyze import_staged");
      await run(LOCK);
    },
    staged: () => cursorRows(bulk, "staged_rows", STAGED, FETCHED, stagedOf),
    known: (before) => cursorRows(bulk, "known_rows", knownFrom(before), FETCHED, knownOf),
    insert: (readings) => insert(bulk, readings),
  };
}

async function* settle(bulk: Bulk): AsyncGenerator<SettledRow[]> {
  await bulk.turn(async () => {
    await bulk.client.query(SETTLE);
    await bulk.client.query(TAKE_OUT);
  });
  const rows = "select line, reading_id::text, differs from import_settled order by line";
  yield* cursorRows(bulk, "settled_rows", rows, FETCHED, ([line, readingId, differs]) => {
    return { line, readingId, differs } as SettledRow;
  });
}

async function insert(bulk: Bulk, readings: readonly New<Reading>[]): Promise<void> {
  const [first] = readings;
  if (!first) return;
  await copyRows(bulk, "import_placed", readings, placedCells);
  await bulk.turn(async () => {
    await bulk.client.query(INSERT, [new Date(first.createdAt).toISOString()]);
    await bulk.client.query("truncate import_placed");
  });
}

function stagedCells(row: StagedReading): Cell[] {
  const { line, vehicleId, meter, at, value, unit, source, note, externalId, given } = row;
  const own = [line, vehicleId, meter, at, value, unit, source, note, externalId];
  return [...own, given.at, given.unit];
}

function placedCells(row: New<Reading>): Cell[] {
  const { id, vehicleId, meter, at, value, unit, total, status, reasons } = row;
  const judged = reasons.length === 0 ? "[]" : JSON.stringify(reasons);
  const cells = [id, vehicleId, meter, at, value, unit, total, status, judged];
  return [...cells, row.source, row.note, row.externalId];
}

function stagedOf(cells: readonly unknown[]): StagedReading {
  const [line, vehicleId, meter, at, value, unit, source, note, externalId] = cells;
  return {
    line: line as number,
    vehicleId: vehicleId as string,
    meter: meter as MeterName,
    at: at as number,
    value: value as number,
    unit: unit as StagedReading["unit"],
    source: source as ReadingSource,
    note: note as string | null,
    externalId: externalId as string | null,
    given: { at: true, unit: true },
  };
}

function knownOf(cells: readonly unknown[]): KnownBefore {
  const [vehicleId, meter, at, value, unit, total, status, confirmed, id] = cells;
  return { vehicleId, meter, at, value, unit, total, status, confirmed, id } as KnownBefore;
}
