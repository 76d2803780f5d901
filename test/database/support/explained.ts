import pg from "pg";

/** A part of a statement that reads a table, and how many rows it looked at. */
export interface Scan {
  table: string;
  how: string;
  rows: number;
}

export interface Explained {
  text: string;
  scans: Scan[];
}

interface PlanNode {
  "Node Type": string;
  "Relation Name"?: string;
  "Index Name"?: string;
  "Actual Rows": number;
  "Actual Loops": number;
  "Rows Removed by Filter"?: number;
  "Rows Removed by Index Recheck"?: number;
  Plans?: PlanNode[];
}

interface Asked {
  text: string;
  values?: unknown[];
}

/** The same statement is looked at so often, with the values of each time. */
const OFTEN = 3;
const PLANNED = /^\s*(?:with|select|insert|update|delete)\b/i;

/**
 * From now on each statement that a client of pg sends is first run under EXPLAIN ANALYZE on the same
 * connection, in the same transaction, and undone: by the generic plan that the service's sessions
 * ask for, under the row-level security that binds them, on the rows that are there.
 */
export function explainAll(): { seen: Explained[]; stop(): void } {
  const seen: Explained[] = [];
  const counts = new Map<string, number>();
  const prototype = pg.Client.prototype as unknown as { query(...args: unknown[]): unknown };
  const send = prototype.query;
  prototype.query = function (this: unknown, ...args: unknown[]) {
    const asked = askedOf(args);
    const count = asked ? (counts.get(asked.text) ?? 0) : OFTEN;
    if (asked && count < OFTEN) {
      counts.set(asked.text, count + 1);
      const explained = explain(
        (text) => send.call(this, text) as Promise<pg.QueryResult[]>,
        asked,
      );
      explained.then(
        (scans) => seen.push({ text: asked.text, scans }),
        (error: Error) => seen.push({ text: asked.text, scans: [broken(error)] }),
      );
    }
    return send.apply(this, args);
  };
  return {
    seen,
    stop() {
      prototype.query = send;
    },
  };
}

/** A statement as it is sent by the service or by Prisma; others are none that has a plan. */
function askedOf([first, second]: unknown[]): Asked | null {
  const asked = typeof first === "string" ? { text: first, values: second } : first;
  if (typeof asked !== "object" || asked === null || "submit" in asked) return null;
  const { text, values } = asked as Asked;
  if (typeof text !== "string" || !PLANNED.test(text) || text.includes("set_config(")) return null;
  return { text, values: values ?? [] };
}

let made = 0;

/** In one message, so that it is one turn even where nobody waits for it. What is written is undone. */
async function explain(
  send: (text: string) => Promise<pg.QueryResult[]>,
  { text, values = [] }: Asked,
): Promise<Scan[]> {
  made += 1;
  const name = `looked_at_${made}`;
  const given = values.length === 0 ? "" : `(${values.map(literal).join(", ")})`;
  const plan = `explain (analyze, timing off, format json) execute ${name}${given}`;
  const run = WRITES.test(text)
    ? `savepoint ${name}; ${plan}; rollback to savepoint ${name}`
    : plan;
  const results = await send(`prepare ${name} as ${text}; ${run}; deallocate ${name}`);
  const rows = results.flatMap(
    (result) => result.rows as { "QUERY PLAN"?: { Plan: PlanNode }[] }[],
  );
  return scansOf(rows.find((row) => row["QUERY PLAN"])?.["QUERY PLAN"]?.[0]?.Plan);
}

const WRITES = /\b(?:insert|update|delete)\b/i;

/** A value as pg would write it into a message. */
function literal(value: unknown): string {
  if (value === null || value === undefined) return "null";
  return pg.escapeLiteral(textOf(value));
}

function textOf(value: unknown): string {
  if (value instanceof Date) return value.toISOString();
  if (value instanceof Uint8Array) return `\\x${Buffer.from(value).toString("hex")}`;
  if (Array.isArray(value)) return `{${value.map(itemOf).join(",")}}`;
  return typeof value === "object" ? JSON.stringify(value) : String(value);
}

function itemOf(item: unknown): string {
  if (item === null || item === undefined) return "NULL";
  return `"${textOf(item).replaceAll(/["\\]/g, "\\$&")}"`;
}

function scansOf(node: PlanNode | undefined): Scan[] {
  if (node === undefined) return [];
  const below = (node.Plans ?? []).flatMap(scansOf);
  const table = node["Relation Name"];
  if (table === undefined || node["Node Type"] === "ModifyTable") return below;
  const removed =
    (node["Rows Removed by Filter"] ?? 0) + (node["Rows Removed by Index Recheck"] ?? 0);
  const rows = (node["Actual Rows"] + removed) * node["Actual Loops"];
  const how = [node["Node Type"], node["Index Name"]].filter(Boolean).join(" ");
  return [{ table, how, rows }, ...below];
}

function broken(error: Error): Scan {
  return { table: `not explained: ${error.message}`, how: "", rows: Number.POSITIVE_INFINITY };
}
