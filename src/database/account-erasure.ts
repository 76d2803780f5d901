import pg from "pg";
import type {
  AccountErasure,
  AccountToDelete,
  DeletedAccount,
} from "../application/delete-account.ts";
import { tablesOfAccounts } from "./account-tables.ts";
import type { Connections } from "./client.ts";
import { clientTransaction } from "./client-transaction.ts";
import { OPERATOR } from "./operator.ts";
import { retrying } from "./retrying.ts";
import { inMs, type Sql } from "./sql.ts";

/** A deletion waits for whoever is writing. */
const LOCK_WAIT = "30s";

/**
 * In the order in which everybody locks them: schedules, the machines that they stand on, then the
 * account. Nobody adds a row from there on.
 */
const LOCK_SCHEDULES = `select count(*)::int as n from
  (select id from schedule where account_id = current_account() order by id for update) locked`;
const LOCK_MACHINES = `select count(*)::int as n from
  (select id from vehicle where account_id = current_account() order by id for update) locked`;
const LOOK = "select name, version from account where id = current_account()";
const LOCK_ACCOUNT = `${LOOK} for update`;

const ERASE_COUNTS = `delete from rate_count where policy = 'key' and who in
  (select id::text from api_key where account_id = current_account())`;
const ERASE_ACCOUNT = counted("account", "id = current_account()");
/** The operator made the account under a key of its own, and the answer names the owner. */
const ERASE_MAKING = counted("idempotency", "account_id = current_account() and body ~ $1::text");

const KEEP = `insert into deleted_account (account_id, deleted_at, rows)
  values (current_account(), $1::timestamptz, $2::jsonb)`;

const FIND = `select account_id as "accountId", ${inMs("deleted_at")} as "deletedAt", rows
  from deleted_account where account_id = current_account()`;

export function accountErasureOn({ pool }: Connections): AccountErasure {
  const within = <T>(accountId: string, work: (sql: Sql) => Promise<T>): Promise<T> => {
    const settings = { "forewheel.account": accountId, lock_timeout: LOCK_WAIT };
    return retrying(() => clientTransaction(pool, settings, work));
  };
  return {
    erase: (accountId, at, allow) =>
      within(accountId, async (sql) => {
        // What is refused anyway holds nobody up.
        const [seen] = await sql.query<AccountToDelete>("look-at-account", LOOK, []);
        allow(seen ?? null);
        await sql.query("lock-schedules", LOCK_SCHEDULES, []);
        await sql.query("lock-machines", LOCK_MACHINES, []);
        const [account] = await sql.query<AccountToDelete>("lock-account", LOCK_ACCOUNT, []);
        allow(account ?? null);
        const rows = await eraseRows(sql, accountId);
        await sql.query("keep-deletion", KEEP, [new Date(at).toISOString(), JSON.stringify(rows)]);
        return { accountId, deletedAt: at, rows };
      }),
    left: (accountId) =>
      within(accountId, async (sql) => {
        const tables = await tablesOfAccounts(sql);
        const counts = [
          "(select count(*) from account where id = current_account())",
          ...tables.map(
            (name) =>
              `(select count(*) from ${pg.escapeIdentifier(name)} where account_id = current_account())`,
          ),
        ];
        const text = `select (${counts.join(" + ")})::int as n`;
        const [left] = await sql.query<{ n: number }>("rows-left", text, []);
        return left?.n ?? Number.NaN;
      }),
    find: (accountId) =>
      within(accountId, async (sql) => {
        const [found] = await sql.query<DeletedAccount>("find-deletion", FIND, []);
        return found ?? null;
      }),
  };
}

async function eraseRows(sql: Sql, accountId: string): Promise<Record<string, number>> {
  const rows: Record<string, number> = {};
  const erase = async (table: string, text: string, values: readonly unknown[] = []) => {
    const [gone] = await sql.query<{ n: number }>(`erase-${table}`, text, values);
    rows[table] = (rows[table] ?? 0) + (gone?.n ?? 0);
  };
  await sql.query("erase-counts", ERASE_COUNTS, []);
  for (const table of await tablesOfAccounts(sql)) {
    await erase(table, counted(table, "account_id = current_account()"));
  }
  await erase("account", ERASE_ACCOUNT);
  await become(sql, OPERATOR);
  const [making] = await sql.query<{ n: number }>("erase-making", ERASE_MAKING, [accountId]);
  rows.idempotency = (rows.idempotency ?? 0) + (making?.n ?? 0);
  await become(sql, accountId);
  return rows;
}

async function become(sql: Sql, accountId: string): Promise<void> {
  const text = "select set_config('forewheel.account', $1::text, true)";
  await sql.query("become-account", text, [accountId]);
}

/** Deletes and answers how many rows there were. */
function counted(table: string, condition: string): string {
  return `with gone as (delete from ${pg.escapeIdentifier(table)} where ${condition} returning 1)
    select count(*)::int as n from gone`;
}
