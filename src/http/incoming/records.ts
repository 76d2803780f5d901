import { type CsvError, type Parser, parse } from "csv-parse";

/** A record of CSV with the line that it begins on; or why the rest of the file cannot be read. */
export type CsvRecord = { line: number; cells: string[] } | { line: number; fault: string };

/** Characters that one record may have. */
const LONGEST = 262_144;
const TOO_LONG = `has more than ${LONGEST} characters; a quotation mark may be missing`;

/**
 * Reads CSV (RFC 4180) from text that comes in parts. Without a quotation mark lines are records, and
 * taken apart as such, which takes a tenth of the time; from the first one on the parser reads on.
 */
export class CsvRecords {
  #rest = "";
  #line = 1;
  #parser: Parser | null = null;
  #error: CsvError | null = null;

  /** The records that are whole with this part; the last part ends the last record. */
  async read(part: string, isLast: boolean): Promise<CsvRecord[]> {
    if (this.#parser) return this.#parsed(this.#parser, part, isLast);
    const text = this.#rest + part;
    if (text.includes('"')) return this.#parsed(this.#beginParser(), text, isLast);
    const lines = text.split("\n");
    this.#rest = isLast ? "" : (lines.pop() ?? "");
    const records: CsvRecord[] = lines.map((line) => ({
      line: this.#line++,
      cells: (line.endsWith("\r") ? line.slice(0, -1) : line).split(","),
    }));
    if (this.#rest.length > LONGEST) records.push({ line: this.#line, fault: TOO_LONG });
    return records;
  }

  #beginParser(): Parser {
    this.#rest = "";
    const parser = parse({
      relax_column_count: true,
      record_delimiter: ["\r\n", "\n"],
      max_record_size: LONGEST,
    });
    parser.on("error", (error) => {
      this.#error = error as CsvError;
    });
    this.#parser = parser;
    return parser;
  }

  async #parsed(parser: Parser, part: string, isLast: boolean): Promise<CsvRecord[]> {
    if (this.#error) return [];
    if (isLast) parser.end(part);
    else parser.write(part);
    const records = this.#taken(parser);
    // What breaks off, and what was the last, is told a turn later.
    await new Promise(setImmediate);
    records.push(...this.#taken(parser));
    if (this.#error) records.push({ line: this.#line, fault: told(this.#error) });
    return records;
  }

  #taken(parser: Parser): CsvRecord[] {
    const records: CsvRecord[] = [];
    for (let cells = parser.read(); cells !== null; cells = parser.read()) {
      records.push({ line: this.#line, cells });
      this.#line += cells.reduce(
        (sum: number, cell: string) => sum + cell.split("\n").length - 1,
        1,
      );
    }
    return records;
  }
}

function told({ code }: CsvError): string {
  switch (code) {
    case "CSV_QUOTE_NOT_CLOSED":
      return "has a quotation mark that is never closed";
    case "CSV_MAX_RECORD_SIZE":
      return TOO_LONG;
    default:
      return 'has a quotation mark where none may stand: a cell with one is quoted whole, and the mark doubled ("")';
  }
}
