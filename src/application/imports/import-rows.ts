import type { Instant } from "../../domain/calendar/plain-date.ts";
import type { Deps } from "../deps.ts";
import type { Replay } from "../ports.ts";
import type { ImportKind } from "../records.ts";
import { faultsOf } from "./import-readings.ts";
import { ImportReport, type RowFault } from "./import-report.ts";
import { concludeImport, type ImportRequest } from "./import-request.ts";
import type { ReadRow, RowSource, RowsImport, StagedRow } from "./ports.ts";

/** How the rows of one kind are taken in. */
export interface RowKind<T> {
  kind: ImportKind;
  /** Called for each part of the file, before its rows are set down. */
  prepare?(rows: readonly T[], tx: RowsImport): Promise<void>;
  /** Where the row belongs, or why it cannot be taken. */
  place(value: T, now: Instant): { vehicleId: string | null; at: Instant } | RowFault;
  /** Does the row's work and counts it. @throws Refusal */
  take(row: StagedRow<T>, tx: RowsImport, report: ImportReport): Promise<void>;
  /** When all rows were taken. */
  conclude?(tx: RowsImport): Promise<void>;
}

/**
 * Takes in a file row by row, each by the verb that a row posted alone would be, and all of them or
 * none: what was done is undone where one is refused.
 */
export function importRows<T, A>(
  source: RowSource<T>,
  request: ImportRequest<A>,
  make: (tx: RowsImport) => RowKind<T>,
  deps: Deps,
): Promise<A | Replay> {
  return deps.database.imports.ofRows(request.caller.accountId, async (tx) => {
    await tx.takePlace();
    const rows = make(tx);
    const now = (await tx.clock()) ?? deps.clock();
    const report = new ImportReport();
    for await (const part of source) {
      const values = part.flatMap((row) => ("value" in row ? [row.value] : []));
      await rows.prepare?.(values, tx);
      const staged: StagedRow<T>[] = [];
      for (const row of part) {
        const one = placed(row, rows, now);
        if ("faults" in one) report.refuse(row.line, one.faults);
        else staged.push(one);
      }
      await tx.stage(staged);
    }
    const apply = async () => {
      await tx.lockStaged();
      await tx.allOrNothing(async () => {
        await takeAll(tx, rows, report);
        if (report.anyRefused || request.dryRun) return false;
        await rows.conclude?.(tx);
        return true;
      });
      return report;
    };
    return concludeImport(tx, rows.kind, request, source.digest(), now, apply, deps);
  });
}

function placed<T>(
  row: ReadRow<T>,
  rows: RowKind<T>,
  now: Instant,
): StagedRow<T> | { faults: readonly RowFault[] } {
  if ("faults" in row) return row;
  const place = rows.place(row.value, now);
  return "detail" in place ? { faults: [place] } : { line: row.line, value: row.value, ...place };
}

async function takeAll<T>(tx: RowsImport, rows: RowKind<T>, report: ImportReport): Promise<void> {
  for await (const part of tx.staged()) {
    for (const row of part as StagedRow<T>[]) {
      try {
        await tx.attempt(() => rows.take(row, tx, report));
      } catch (error) {
        report.refuse(row.line, faultsOf(error));
      }
    }
  }
}
