import { ACCOUNT_RESOURCES } from "../../application/exports/account-resources.ts";
import type { AccountLine } from "../../application/exports/ports.ts";
import type { Bulk } from "../bulk-transaction.ts";
import { cursorRows } from "../cursor.ts";
import { ACCOUNT_TABLES, COLUMNS, nameOf } from "./account-tables.ts";

const FETCHED = 500;
const ACCOUNT = `select name, sandbox, case when sandbox then clock end as clock from account where id = current_account()`;

/** All lines of the account's file but the first and the last, beginning with the account itself. */
export async function* readAccount(connection: Bulk): AsyncGenerator<AccountLine[]> {
  const [account] = await connection.sql.query<Record<string, unknown>>("account", ACCOUNT, []);
  yield [{ resource: "account", row: { ...account } }];
  for (const resource of ACCOUNT_RESOURCES) {
    const { table, order, leftOut = [], instead = {}, only = "true" } = ACCOUNT_TABLES[resource];
    const columns = await connection.sql.query<{ column: string; type: string }>(
      "columns",
      COLUMNS,
      [table, leftOut],
    );
    const cells = columns.map(({ column, type }) => {
      const cell = instead[column] ?? `t.${column}`;
      return `'${nameOf(table, column)}', ${type.startsWith("timestamp") ? instant(cell) : cell}`;
    });
    const query = `select json_build_object(${cells.join(", ")}) from ${table} t
      where t.account_id = current_account() and ${only} order by ${order}`;
    yield* cursorRows(connection, `account_${table}`, query, FETCHED, ([row]) => ({
      resource,
      row: row as Record<string, unknown>,
    }));
  }
}

function instant(column: string): string {
  return `to_char(${column} at time zone 'UTC', 'YYYY-MM-DD"T"HH24:MI:SS.MS"Z"')`;
}
