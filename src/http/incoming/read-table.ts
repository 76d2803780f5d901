import { createHash } from "node:crypto";
import { Refusal } from "../../domain/failure/failure.ts";
import { rearmed } from "../../render/csv-cells.ts";
import { WireRefusal } from "../wire-failure.ts";
import { type CsvRecord, CsvRecords } from "./records.ts";

/** A row's cells in the order of the columns that were asked for; absent ones and empty ones are undefined. */
export type Cells = readonly (string | undefined)[];

export type TableRow =
  | { line: number; cells: Cells }
  | { line: number; faults: { column: string | null; detail: string }[] };

export interface Table extends AsyncIterable<readonly TableRow[]> {
  digest(): string;
}

/** Rows that are handed on at a time. */
const AT_A_TIME = 1000;

/**
 * A table in CSV as it comes: UTF-8, with or without a byte order mark, its first line naming the
 * columns in any order.
 * @throws Refusal invalid where the first line names a column that is not known, names one twice or
 * lacks one of those that every row needs
 * @throws WireRefusal malformed where the bytes are no UTF-8
 */
export function readTable(
  bytes: AsyncIterable<Buffer>,
  columns: readonly string[],
  needed: readonly string[],
): Table {
  const hash = createHash("sha256");
  return {
    digest: () => hash.copy().digest("hex"),
    async *[Symbol.asyncIterator]() {
      const reader = new TableReader(columns, needed);
      let rows: TableRow[] = [];
      for await (const text of textOf(bytes, hash)) {
        rows.push(...(await reader.read(text.part, text.isLast)));
        if (rows.length < AT_A_TIME) continue;
        yield rows;
        rows = [];
      }
      if (!reader.hasHeader) throw refusedHeader(missing(needed));
      if (rows.length > 0) yield rows;
    },
  };
}

function missing(columns: readonly string[]) {
  const detail = "must be named in the first line, which names the columns";
  return columns.map((column) => ({ column, detail }));
}

async function* textOf(bytes: AsyncIterable<Buffer>, hash: ReturnType<typeof createHash>) {
  const decoder = new TextDecoder("utf-8", { fatal: true });
  const decode = (part?: Buffer) => {
    try {
      return part ? decoder.decode(part, { stream: true }) : decoder.decode();
    } catch {
      throw new WireRefusal({ kind: "malformed", detail: "The body is not UTF-8." });
    }
  };
  for await (const part of bytes) {
    hash.update(part);
    yield { part: decode(part), isLast: false };
  }
  yield { part: decode(), isLast: true };
}

/** What other programs put between columns. */
const OTHER_MARKS = /[;\t|]/;
const NO_COMMA = {
  column: "",
  detail: "has no comma in its first line: columns are parted by commas",
};

class TableReader {
  readonly #columns: readonly string[];
  readonly #needed: readonly string[];
  readonly #records = new CsvRecords();
  /** For each column of the file its place among those asked for. */
  #places: number[] | null = null;

  constructor(columns: readonly string[], needed: readonly string[]) {
    this.#columns = columns;
    this.#needed = needed;
  }

  get hasHeader(): boolean {
    return this.#places !== null;
  }

  async read(part: string, isLast: boolean): Promise<TableRow[]> {
    const rows: TableRow[] = [];
    for (const record of await this.#records.read(part, isLast)) {
      if ("cells" in record && record.cells.length === 1 && record.cells[0] === "") continue;
      if (this.#places === null) this.#places = this.#readHeader(record);
      else rows.push(this.#rowOf(record, this.#places));
    }
    return rows;
  }

  #readHeader(record: CsvRecord): number[] {
    if ("fault" in record) throw refusedHeader([{ column: "", detail: record.fault }]);
    const names = record.cells.map((name) => name.trim());
    if (names.length === 1 && OTHER_MARKS.test(String(names[0]))) throw refusedHeader([NO_COMMA]);
    const faults = names.flatMap((column, index) => {
      const known = `is not known here; known are ${this.#columns.join(", ")}`;
      if (!this.#columns.includes(column)) return [{ column: column.slice(0, 200), detail: known }];
      return names.indexOf(column) < index ? [{ column, detail: "must be named only once" }] : [];
    });
    faults.push(...missing(this.#needed.filter((column) => !names.includes(column))));
    if (faults.length > 0) throw refusedHeader(faults.slice(0, 100));
    return names.map((name) => this.#columns.indexOf(name));
  }

  #rowOf(record: CsvRecord, places: readonly number[]): TableRow {
    const { line } = record;
    if ("fault" in record) return { line, faults: [{ column: null, detail: record.fault }] };
    const { cells } = record;
    if (cells.length !== places.length) {
      const detail = `has ${cells.length} cells where the first line has ${places.length}`;
      return { line, faults: [{ column: null, detail }] };
    }
    const row: (string | undefined)[] = new Array(this.#columns.length).fill(undefined);
    for (const [index, cell] of cells.entries()) {
      if (cell === "") continue;
      const place = places[index] ?? 0;
      if (cell.includes("\0")) {
        const detail = "must not contain the character U+0000";
        return { line, faults: [{ column: this.#columns[place] ?? null, detail }] };
      }
      row[place] = rearmed(cell);
    }
    return { line, cells: row };
  }
}

function refusedHeader(errors: { column: string; detail: string }[]): Refusal {
  return new Refusal({ kind: "invalid", errors });
}
