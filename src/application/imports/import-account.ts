import { Refusal } from "../../domain/failure/failure.ts";
import { requireRight } from "../caller.ts";
import type { Deps } from "../deps.ts";
import { ACCOUNT_RESOURCES } from "../exports/account-resources.ts";
import type { Replay } from "../ports.ts";
import { ImportReport } from "./import-report.ts";
import { concludeImport, type ImportRequest } from "./import-request.ts";
import type { AccountImport, AccountRow, RowSource } from "./ports.ts";

/**
 * Takes the whole of an account into one that is empty but for its owner and keys: all ids stay, the
 * owner of the file takes the place of the owner that was there, and what was sent stays sent. All of
 * it, or nothing.
 */
export function importAccount<A>(
  source: RowSource<AccountRow>,
  request: ImportRequest<A>,
  deps: Deps,
): Promise<A | Replay> {
  const { caller } = request;
  requireRight(caller, "administer");
  return deps.database.imports.ofAccount(caller.accountId, async (tx) => {
    await tx.takePlace();
    const now = (await tx.clock()) ?? deps.clock();
    const report = new ImportReport();
    for await (const rows of source) {
      const sound = [];
      for (const row of rows) {
        if ("faults" in row) report.refuse(row.line, row.faults);
        else sound.push({ line: row.line, ...row.value });
      }
      await tx.stage(sound);
    }
    const apply = async () => {
      if (!(await tx.isEmpty())) throw notEmpty();
      await tx.allOrNothing(async () => {
        if (!report.anyRefused) await takeAll(tx, report);
        return !report.anyRefused && !request.dryRun;
      });
      return report;
    };
    return concludeImport(tx, "account", request, source.digest(), now, apply, deps);
  });
}

async function takeAll(tx: AccountImport, report: ImportReport): Promise<void> {
  const ownerFault = await tx.makeRoomForOwner();
  if (ownerFault) return report.refuse(ownerFault.line, [ownerFault]);
  for (const resource of ACCOUNT_RESOURCES) {
    const taken = await tx.insert(resource);
    if (typeof taken === "number") report.recorded(taken);
    else return report.refuse(taken.line, [taken]);
  }
  await tx.settle();
}

function notEmpty(): Refusal {
  const detail =
    "An account is taken into one that is empty but for its owner and keys; this one is not. Make a new one.";
  return new Refusal({ kind: "conflict", detail });
}
