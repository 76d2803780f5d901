import type { RowFault } from "../../application/imports/import-report.ts";
import type { ReadRow, RowSource } from "../../application/imports/ports.ts";
import type { Cells, Table } from "./read-table.ts";

/** The table's rows as `read` makes them of their cells. */
export function rowsOf<T>(
  table: Table,
  read: (cells: Cells) => T | { faults: RowFault[] },
): RowSource<T> {
  return {
    digest: table.digest,
    async *[Symbol.asyncIterator]() {
      for await (const part of table) {
        yield part.map((row): ReadRow<T> => {
          if ("faults" in row) return row;
          const value = read(row.cells);
          const { line } = row;
          return isFaulty(value) ? { line, faults: value.faults } : { line, value };
        });
      }
    },
  };
}

function isFaulty(value: unknown): value is { faults: RowFault[] } {
  return typeof value === "object" && value !== null && "faults" in value;
}
