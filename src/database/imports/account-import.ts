import type { AccountResource } from "../../application/exports/account-resources.ts";
import type { AccountImport, LineFault } from "../../application/imports/ports.ts";
import type { Bulk } from "../bulk-transaction.ts";
import { sqlState } from "../errors.ts";
import { ACCOUNT_TABLES, COLUMNS, nameOf } from "../exports/account-tables.ts";
import { copyRows } from "./copy-rows.ts";
import { ledgerOn } from "./ledger.ts";

const TABLE = `create temp table import_lines (line int primary key, resource text, value jsonb) on commit drop`;

const LOCK = "select 1 as locked from account where id = current_account() for update";

/** What an account has from its beginning: its owner, perhaps waiting for a digest, and what was told of keys. */
const EMPTY = `select not exists (select from vehicle where account_id = current_account())
  and not exists (select from schedule where account_id = current_account())
  and not exists (select from webhook_endpoint where account_id = current_account())
  and not exists (select from calendar_feed where account_id = current_account())
  and not exists (select from message where account_id = current_account())
  and (select count(*) from member where account_id = current_account()) = 1 as empty`;

const OWNER = `select min(line)::int as line, count(*)::int as owners from import_lines
  where resource = 'member' and value->>'role' = 'owner'`;

/** The log of the file takes the place of what the new account was told of itself. */
const MAKE_ROOM = [
  "delete from event where account_id = current_account()",
  "delete from next_digest where account_id = current_account()",
  "delete from import_row where account_id = current_account()",
  "delete from import where account_id = current_account()",
  "update member set role = 'manager', external_id = null where account_id = current_account()",
];

const SETTLE = [
  `update api_key k set member_id = o.id from member o
   where k.account_id = current_account() and k.member_id is not null
     and o.account_id = current_account() and o.role = 'owner'`,
  `delete from member m where m.account_id = current_account()
     and m.id::text not in (select value->>'id' from import_lines where resource = 'member')`,
  // Nobody is told again what the log tells: endpoints go on with what comes after it.
  `update webhook_endpoint set cursor_xid = pg_current_xact_id(),
     cursor_seq = (select coalesce(max(seq), 0) from event where account_id = current_account())
   where account_id = current_account()`,
];

export async function accountImportOn(bulk: Bulk, accountId: string): Promise<AccountImport> {
  const { sql } = bulk;
  const run = (text: string) => bulk.turn(() => bulk.client.query(text));
  await run(TABLE);
  const columnsOf = new Map<string, string[]>();
  return {
    ...ledgerOn(sql, accountId),
    async isEmpty() {
      await run(LOCK);
      const [row] = await sql.query<{ empty: boolean }>("is-empty", EMPTY, []);
      return row?.empty ?? false;
    },
    async stage(rows) {
      for (const { resource } of rows) {
        if (!columnsOf.has(resource)) columnsOf.set(resource, await columns(bulk, resource));
      }
      await copyRows(bulk, "import_lines", rows, ({ line, resource, row }) => [
        ...[line, resource],
        JSON.stringify(byColumn(resource, columnsOf.get(resource) ?? [], row)),
      ]);
    },
    async makeRoomForOwner() {
      const { rows } = await run(OWNER);
      const { line, owners } = rows[0] as { line: number | null; owners: number };
      if (owners !== 1) {
        return { line: line ?? 1, column: "role", detail: "one member must be the owner" };
      }
      for (const text of MAKE_ROOM) await run(text);
      return null;
    },
    insert: (resource) => insert(bulk, resource, columnsOf.get(resource) ?? []),
    async settle() {
      for (const text of SETTLE) await run(text);
    },
    async allOrNothing(work) {
      await run("savepoint everything");
      if (!(await work())) await run("rollback to savepoint everything");
    },
  };
}

async function columns({ sql }: Bulk, resource: AccountResource): Promise<string[]> {
  const { table, leftOut = [] } = ACCOUNT_TABLES[resource];
  const rows = await sql.query<{ column: string }>("columns", COLUMNS, [table, leftOut]);
  return rows.map(({ column }) => column);
}

function byColumn(
  resource: AccountResource,
  names: readonly string[],
  row: Record<string, unknown>,
): Record<string, unknown> {
  const { table } = ACCOUNT_TABLES[resource];
  return Object.fromEntries(names.map((column) => [column, row[nameOf(table, column)] ?? null]));
}

/** All rows in one statement; where it fails, the first row that it fails at is looked for. */
async function insert(
  bulk: Bulk,
  resource: AccountResource,
  names: readonly string[],
): Promise<number | LineFault> {
  if (names.length === 0) return 0;
  const { table } = ACCOUNT_TABLES[resource];
  const text = (upTo: string) => `insert into ${table} (account_id, ${names.join(", ")})
    select (select current_account()), ${names.map((name) => `r.${name}`).join(", ")}
    from import_lines l cross join lateral jsonb_populate_record(null::${table}, l.value) r
    where l.resource = '${resource}' and l.line <= ${upTo} order by l.line`;
  const all = await tried(bulk, text("2147483647"), true);
  if (typeof all === "number") return all;
  const { rows } = await bulk.turn(() =>
    bulk.client.query<{ line: number }>(
      "select line from import_lines where resource = $1 order by line",
      [resource],
    ),
  );
  let [sound, broken] = [0, rows.length];
  let why = all;
  while (broken - sound > 1) {
    const middle = Math.floor((sound + broken) / 2);
    const result = await tried(bulk, text(String(rows[middle - 1]?.line)), false);
    if (typeof result === "number") sound = middle;
    else [broken, why] = [middle, result];
  }
  return { line: rows[broken - 1]?.line ?? 1, column: null, detail: why.detail };
}

/** How many rows were written; or why they cannot be, which leaves nothing. */
async function tried(
  bulk: Bulk,
  text: string,
  stays: boolean,
): Promise<number | { detail: string }> {
  return bulk.turn(async () => {
    await bulk.client.query("savepoint rows");
    try {
      const { rowCount } = await bulk.client.query(text);
      if (!stays) await bulk.client.query("rollback to savepoint rows");
      return rowCount ?? 0;
    } catch (error) {
      await bulk.client.query("rollback to savepoint rows");
      const detail = WHY[sqlState(error)?.slice(0, 5) ?? ""];
      if (detail === undefined) throw error;
      return { detail };
    }
  });
}

/** The rules of the store that a sound row can still break. */
const WHY: Readonly<Record<string, string>> = {
  "23502": "lacks a value that it must have",
  "23503": "names something that is not in the file",
  "23505": "is there twice, or takes an id or externalId that another row has",
  "23514": "has a value that it may not have, or one that does not go with the others",
  "22003": "has a number that is too large",
  "22007": "has a date that cannot be read",
  "22008": "has a date that cannot be stored",
  "22P02": "has a value that cannot be read",
  "22P05": "has a text that cannot be stored",
};
