import { finished } from "node:stream/promises";
import { from } from "pg-copy-streams";
import type { Bulk } from "../bulk-transaction.ts";

export type Cell = string | number | boolean | null;

/** Writes rows into a table without row-level security, in PostgreSQL's own text format. */
export async function copyRows<T>(
  { client, turn }: Bulk,
  table: string,
  rows: readonly T[],
  cellsOf: (row: T) => readonly Cell[],
): Promise<void> {
  if (rows.length === 0) return;
  let text = "";
  for (const row of rows) text += line(cellsOf(row));
  await turn(async () => {
    const stream = client.query(from(`copy ${table} from stdin`));
    stream.end(text);
    await finished(stream);
  });
}

function line(cells: readonly Cell[]): string {
  let text = "";
  for (const cell of cells) text += `${text === "" ? "" : "\t"}${cellText(cell)}`;
  return `${text}\n`;
}

function cellText(cell: Cell): string {
  if (cell === null) return "\\N";
  if (typeof cell !== "string") return String(cell);
  return /[\\\t\n\r]/.test(cell)
    ? cell.replaceAll(/[\\\t\n\r]/g, (mark) => MARKS[mark] ?? "")
    : cell;
}

const MARKS: Record<string, string> = { "\\": "\\\\", "\t": "\\t", "\n": "\\n", "\r": "\\r" };
