import type { Instant } from "../../domain/calendar/plain-date.ts";
import { Refusal } from "../../domain/failure/failure.ts";
import { type Caller, requireRight } from "../caller.ts";
import { type Deps, fresh } from "../deps.ts";
import type { Repeatable, Replay } from "../ports.ts";
import type { Import, ImportKind } from "../records.ts";
import type { ImportReport } from "./import-report.ts";
import type { ImportLedger } from "./ports.ts";

/** What came with a file. */
export interface ImportRequest<A> {
  caller: Caller;
  dryRun: boolean;
  externalId: string | null;
  /** The request that is answered, its fingerprint made of the body's digest. */
  repeatable(digest: string): Repeatable<A> | null;
  answer(done: { import: Import; isNew: boolean }): A;
}

/**
 * What follows when a file has been read to its end: a repeat is answered as such, else the rows are
 * applied and the import is kept with its report.
 */
export async function concludeImport<A>(
  tx: ImportLedger,
  kind: ImportKind,
  request: ImportRequest<A>,
  digest: string,
  now: Instant,
  apply: (importId: string) => Promise<ImportReport>,
  deps: Pick<Deps, "ids">,
): Promise<A | Replay> {
  const { dryRun, externalId, caller } = request;
  return tx.once(request.repeatable(digest), async () => {
    const before = externalId === null ? null : await tx.applied(externalId);
    if (before) return request.answer({ import: sameOrRefuse(before, kind, digest), isNew: false });
    const marks = fresh(deps, now);
    const report = await apply(marks.id);
    const status = report.anyRefused ? "refused" : dryRun ? "tried" : "applied";
    const row = { ...marks, kind, dryRun, status, counts: report.counts, digest } as const;
    const kept = await tx.keep(
      { ...row, keyId: caller.keyId, externalId },
      report.rows(status === "applied"),
    );
    return request.answer({ import: kept, isNew: true });
  });
}

function sameOrRefuse(before: Import, kind: ImportKind, digest: string): Import {
  if (before.kind === kind && before.digest === digest) return before;
  throw new Refusal({
    kind: "conflict",
    detail: `The externalId "${before.externalId}" is taken by an import of another file. Send the same file again, or another externalId.`,
  });
}

/** Riders and keys that are bound to vehicles see the imports that their own key posted. */
export function visibleImports(caller: Caller): { keyId?: string } {
  requireRight(caller, "readMachines");
  const seesAll = !caller.vehicleIds && caller.role !== "rider";
  return seesAll ? {} : { keyId: caller.keyId };
}
