import type { AccountLine, ExportedRow } from "../application/exports/ports.ts";
import { csvLine } from "../render/csv-cells.ts";
import { ACCOUNT_FORMAT } from "./account-file.ts";

/**
 * Begins what is answered part by part, so that whatever refuses it is told as a problem, before
 * anything was sent.
 */
export async function begun(parts: AsyncGenerator<string>): Promise<AsyncGenerator<string>> {
  const first = await parts.next();
  return (async function* () {
    try {
      if (first.done) return;
      yield first.value;
      yield* parts;
    } finally {
      // A caller who goes away before the rest was asked for leaves it begun.
      await parts.return(undefined);
    }
  })();
}

/** Rows as CSV, a line that names the columns first. */
export async function* asCsv(
  rows: AsyncIterable<ExportedRow[]>,
  columns: readonly string[],
): AsyncGenerator<string> {
  let head = csvLine(columns);
  for await (const part of rows) {
    const lines = part.map((row) => csvLine(columns.map((column) => cellOf(row[column]))));
    yield head + lines.join("");
    head = "";
  }
  if (head !== "") yield head;
}

function cellOf(value: string | number | boolean | null | undefined): string | number | null {
  return typeof value === "boolean" ? String(value) : (value ?? null);
}

/**
 * An account as lines of JSON: the first says what it is, the last that it is whole and how many rows
 * stand between.
 */
export async function* asJsonLines(lines: AsyncIterable<AccountLine[]>): AsyncGenerator<string> {
  let count = 0;
  for await (const part of lines) {
    const texts = part.map(({ resource, row }) => {
      if (resource === "account") return line({ format: ACCOUNT_FORMAT, account: row });
      count += 1;
      return line({ resource, row });
    });
    yield texts.join("");
  }
  yield line({ end: true, rows: count });
}

function line(value: object): string {
  return `${JSON.stringify(value)}\n`;
}
