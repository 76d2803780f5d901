import { AccountGone } from "../application/account-gone.ts";
import { Refusal } from "../domain/failure/failure.ts";
import { sqlState, violates } from "./errors.ts";

/** The foreign keys by which a row belongs to its account. */
const OF_ACCOUNT = /^[a-z_]+_account_id_fkey$/;
const REMOVED = "Something that this belongs to was removed at the same moment. Read it again.";

/** What a row that points to one which was removed meanwhile is told as; null for any other error. */
export function removedMeanwhile(error: unknown): Error | null {
  if (sqlState(error) !== "23503") return null;
  if (violates(error, OF_ACCOUNT)) return new AccountGone();
  return new Refusal({ kind: "conflict", detail: REMOVED });
}
