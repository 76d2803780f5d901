import type { DeletedAccount } from "../../application/delete-account.ts";
import { instantText } from "../schemas/time.ts";

/** Tables whose name says less than what is in them. */
const NAMES: Readonly<Record<string, string>> = { idempotency: "keptAnswers" };

export function shownDeletion(
  { accountId, deletedAt, rows }: DeletedAccount,
  remaining: number,
  proof: string,
) {
  const named = Object.entries(rows).map(([table, count]) => [nameOf(table), count] as const);
  const inOrder = named.sort(([one], [other]) => (one < other ? -1 : 1));
  return {
    ...{ accountId, deletedAt: instantText(deletedAt) },
    ...{ rows: Object.fromEntries(inOrder), remaining, proof },
  };
}

/** `work_record` becomes `workRecords`. */
function nameOf(table: string): string {
  const camel = table.replaceAll(/_(\w)/g, (_all, letter: string) => letter.toUpperCase());
  return NAMES[table] ?? `${camel}s`;
}
