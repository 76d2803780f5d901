import type { ImportCounts, ImportRow } from "../records.ts";

/** Rows of each outcome that are told one by one; beyond them rows are counted alone. */
export const MOST_REPORTED = 1000;

/** A fault of one row: where, and what would be right. */
export interface RowFault {
  column: string | null;
  detail: string;
}

type Outcome = ImportRow["outcome"];

/** What became of an import's rows: all are counted, the first thousand of each outcome are told. */
export class ImportReport {
  readonly #counts: Record<Outcome | "recorded", number> = {
    ...{ recorded: 0, held: 0, repeated: 0, refused: 0 },
  };
  readonly #made = new Set<string>();
  readonly #told: Record<Outcome, ImportRow[]> = { refused: [], held: [], repeated: [] };

  recorded(rows = 1): void {
    this.#counts.recorded += rows;
  }

  /** What was recorded may be named by a later row that repeats it. */
  made(resourceId: string): void {
    this.recorded();
    this.#made.add(resourceId);
  }

  refuse(line: number, faults: readonly RowFault[]): void {
    this.#counts.refused += 1;
    for (const { column, detail } of faults) {
      this.#tell({ line, outcome: "refused", column, detail, resourceId: null });
    }
  }

  hold(line: number, column: string, detail: string, resourceId: string | null): void {
    this.#counts.held += 1;
    if (resourceId !== null) this.#made.add(resourceId);
    this.#tell({ line, outcome: "held", column, detail, resourceId });
  }

  repeat(line: number, resourceId: string | null): void {
    this.#counts.repeated += 1;
    const detail = "It is there already.";
    this.#tell({ line, outcome: "repeated", column: null, detail, resourceId });
  }

  get anyRefused(): boolean {
    return this.#counts.refused > 0;
  }

  get counts(): ImportCounts {
    const reported = Object.values(this.#told).reduce((sum, rows) => sum + rows.length, 0);
    return { ...this.#counts, reported };
  }

  /** In the order of the lines; where nothing was applied, what was made on the way is not named. */
  rows(applied: boolean): ImportRow[] {
    const rows = Object.values(this.#told).flat();
    const isGone = (id: string | null) => !applied && id !== null && this.#made.has(id);
    return rows
      .map((row) => (isGone(row.resourceId) ? { ...row, resourceId: null } : row))
      .sort((a, b) => a.line - b.line);
  }

  #tell(row: ImportRow): void {
    const told = this.#told[row.outcome];
    if (told.length < MOST_REPORTED) told.push(row);
  }
}
