import type { RowsImport, StagedRow } from "../../application/imports/ports.ts";
import { Refusal } from "../../domain/failure/failure.ts";
import { sqlState } from "../errors.ts";
import type { Prisma } from "../generated/client.ts";
import { type Sql, sqlOfPrisma } from "../sql.ts";
import { transactionOn } from "../transaction.ts";
import { ledgerOn } from "./ledger.ts";

const FETCHED = 500;

const TABLE = `create temp table import_row_staged (line int primary key, vehicle_id uuid, at bigint, value jsonb)
  on commit drop`;

const STAGE = `insert into import_row_staged
  select r.line, r."vehicleId", r.at, r.value
  from jsonb_to_recordset($1::jsonb) as r (line int, "vehicleId" uuid, at bigint, value jsonb)`;

const LOCK = `select 1 as locked from vehicle v
  where v.account_id = current_account() and v.id in (select vehicle_id from import_row_staged)
  order by v.id for no key update`;

const ORDER = `declare staged_rows no scroll cursor for
  select line, vehicle_id::text as "vehicleId", at::float8 as at, value
  from import_row_staged order by vehicle_id, at, line`;

/** The verbs' own transaction, with what an import needs beside. */
export async function rowsImportOn(
  on: Prisma.TransactionClient,
  accountId: string,
): Promise<RowsImport> {
  const sql = sqlOfPrisma(on);
  await sql.query("stage-table", TABLE, []);
  return {
    ...ledgerOn(sql, accountId),
    tx: transactionOn(on, accountId),
    async stage(rows) {
      if (rows.length > 0) await sql.query("stage-rows", STAGE, [JSON.stringify(rows)]);
    },
    async lockStaged() {
      await sql.query("lock-staged", LOCK, []);
    },
    staged: () => staged(sql),
    attempt: (work) => attempt(sql, work),
    async allOrNothing(work) {
      await sql.query("all", "savepoint everything", []);
      if (!(await work())) await sql.query("nothing", "rollback to savepoint everything", []);
    },
  };
}

async function* staged(sql: Sql): AsyncGenerator<StagedRow<unknown>[]> {
  await sql.query("staged-rows", ORDER, []);
  for (;;) {
    const rows = await sql.query<StagedRow<unknown>>(
      "fetch-staged",
      `fetch ${FETCHED} from staged_rows`,
      [],
    );
    if (rows.length === 0) return;
    yield rows;
  }
}

async function attempt<T>(sql: Sql, work: () => Promise<T>): Promise<T> {
  await sql.query("try", "savepoint one_row", []);
  try {
    const result = await work();
    await sql.query("done", "release savepoint one_row", []);
    return result;
  } catch (error) {
    await sql.query("undo", "rollback to savepoint one_row", []);
    if (sqlState(error) !== "23505") throw error;
    throw new Refusal({
      kind: "conflict",
      detail: "is taken by another one; choose another externalId",
    });
  }
}
