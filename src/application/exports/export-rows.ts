import { type Caller, requireRight, rightOf, visibleVehicles } from "../caller.ts";
import type { Deps } from "../deps.ts";
import type { ExportBounds, ExportedRow, ExportKind } from "./ports.ts";

/** What the caller sees, as rows of a file; costs are for those who may see them. */
export async function* exportRows(
  caller: Caller,
  kind: ExportKind,
  deps: Deps,
): AsyncGenerator<ExportedRow[]> {
  requireRight(caller, "readMachines");
  const costs = rightOf(caller, "seeCosts") === "yes";
  const bounds: ExportBounds = visibleVehicles(caller);
  for await (const rows of deps.database.exports.rows(caller.accountId, kind, bounds)) {
    yield kind === "work" && !costs ? rows.map(withoutCosts) : rows;
  }
}

function withoutCosts(row: ExportedRow): ExportedRow {
  return { ...row, labour: null, cost: null };
}
