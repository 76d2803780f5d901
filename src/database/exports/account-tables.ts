import type { AccountResource } from "../../application/exports/account-resources.ts";

/** How the rows of a table go into the file of an account, and come out of it. */
export interface AccountTable {
  table: string;
  /** The order of the lines. */
  order: string;
  /** Columns that belong to this place: leases, and where a follower stands. */
  leftOut?: readonly string[];
  /** Columns that are not what is stored, by their expressions over the row `t`. */
  instead?: Readonly<Record<string, string>>;
  only?: string;
}

const NOT_OF_ACCOUNTS = "t.kind <> 'account'";

export const ACCOUNT_TABLES: Record<AccountResource, AccountTable> = {
  member: { table: "member", order: "t.id" },
  schedule: { table: "schedule", order: "t.id" },
  vehicle: { table: "vehicle", order: "t.id" },
  meterChange: { table: "meter_change", order: "t.id" },
  layUp: { table: "lay_up", order: "t.id" },
  // What is generated of what was told is generated again.
  task: { table: "task", order: "t.id", leftOut: ["likely_from", "likely_most"] },
  reading: { table: "reading", order: "t.id" },
  workRecord: { table: "work_record", order: "t.id" },
  workTask: { table: "work_task", order: "t.work_record_id, t.task_id" },
  webhookEndpoint: {
    table: "webhook_endpoint",
    order: "t.id",
    leftOut: ["cursor_xid", "cursor_seq"],
  },
  calendarFeed: { table: "calendar_feed", order: "t.id" },
  message: {
    table: "message",
    order: "t.id",
    leftOut: ["lease_until", "lease_token"],
    // Whoever is sending it tells this account alone what came of it.
    instead: { status: "case t.status when 'sending' then 'unknown' else t.status end" },
  },
  reminder: { table: "reminder", order: "t.id" },
  nextDigest: { table: "next_digest", order: "t.member_id" },
  import: { table: "import", order: "t.id", only: NOT_OF_ACCOUNTS },
  importRow: {
    table: "import_row",
    order: "t.import_id, t.number",
    only: "exists (select from import i where i.account_id = t.account_id and i.id = t.import_id and i.kind <> 'account')",
  },
  event: { table: "event", order: "t.xid, t.seq", leftOut: ["xid", "seq"] },
};

/** Names in the file where they are not the column's own in camelCase. */
const NAMES: Readonly<Record<string, string>> = {
  "vehicle.group_name": "group",
  "lay_up.from_on": "from",
  "lay_up.to_on": "to",
  "task.on_date": "on",
  "task.first_limits": "first",
  "task.every_limits": "every",
  "task.early_limits": "early",
  "task.late_limits": "late",
  "import_row.column_name": "column",
};

export function nameOf(table: string, column: string): string {
  return (
    NAMES[`${table}.${column}`] ??
    column.replaceAll(/_(\w)/g, (_all, letter: string) => letter.toUpperCase())
  );
}

/** The table's columns that are in the file, in their order. */
export const COLUMNS = `select column_name::text as "column", data_type::text as type
  from information_schema.columns
  where table_schema = 'public' and table_name = $1::text and column_name <> 'account_id'
    and not column_name = any($2::text[])
  order by ordinal_position`;
