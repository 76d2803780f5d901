import { Prisma } from "./generated/client.ts";

type Row = Record<string, unknown>;

/**
 * Rows carry `Date`; the application counts milliseconds and writes plain dates as text. Which of
 * the two a column holds follows from its name, as it does in the API: `on`, `from`, `to` and
 * whatever ends in `On` are plain dates; `at`, `clock`, `plannedFor` and whatever ends in `At` are
 * instants.
 */
export function isPlainDateField(name: string): boolean {
  return name === "on" || name === "from" || name === "to" || /[a-z]On$/.test(name);
}

export function isInstantField(name: string): boolean {
  return name === "at" || name === "clock" || name === "plannedFor" || /[a-z]At$/.test(name);
}

/** A row as the application sees it, without `accountId`, which the transaction knows. */
export function decodeRow<T>(row: object): T {
  const out: Row = {};
  for (const [name, value] of Object.entries(row)) {
    if (name === "accountId") continue;
    if (!(value instanceof Date)) out[name] = value;
    else out[name] = isPlainDateField(name) ? value.toISOString().slice(0, 10) : value.getTime();
  }
  return out as T;
}

/** Fields as Prisma takes them. `json` names the columns in which an absent value is SQL's null. */
export function encodeFields(fields: object, json: readonly string[]): Row {
  const out: Row = {};
  for (const [name, value] of Object.entries(fields)) {
    if (value === undefined) continue;
    if (value === null) out[name] = json.includes(name) ? Prisma.DbNull : null;
    else if (isPlainDateField(name)) out[name] = new Date(`${String(value)}T00:00:00Z`);
    else if (isInstantField(name)) out[name] = new Date(Number(value));
    else out[name] = value;
  }
  return out;
}
