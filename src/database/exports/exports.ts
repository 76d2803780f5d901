import type { ExportBounds, ExportedRow, Exports } from "../../application/exports/ports.ts";
import { type Bulk, bulkSnapshot } from "../bulk-transaction.ts";
import type { Connections } from "../client.ts";
import { cursorRows } from "../cursor.ts";
import { readAccount } from "./read-account.ts";
import { ROW_QUERIES, type RowQuery } from "./row-queries.ts";

const FETCHED = 1000;

export function exportsOn({ bulk }: Connections): Exports {
  return {
    rows: (accountId, kind, bounds) =>
      bulkSnapshot(bulk, accountId, (connection) => rows(connection, ROW_QUERIES[kind], bounds)),
    account: (accountId) => bulkSnapshot(bulk, accountId, readAccount),
  };
}

const BOUND = `select set_config('forewheel.export_ids', $1::text, true),
  set_config('forewheel.export_member', $2::text, true)`;

async function* rows(
  connection: Bulk,
  { columns, text }: RowQuery,
  { ids, responsibleMemberId }: ExportBounds,
): AsyncGenerator<ExportedRow[]> {
  await connection.sql.query("bound-export", BOUND, [
    ids === undefined ? "*" : ids.join(","),
    responsibleMemberId ?? "",
  ]);
  yield* cursorRows(connection, "exported_rows", text, FETCHED, (cells) => {
    return Object.fromEntries(
      columns.map((column, index) => [column, cells[index]]),
    ) as ExportedRow;
  });
}
