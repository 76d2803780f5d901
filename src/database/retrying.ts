import { AccountGone } from "../application/account-gone.ts";
import { LostRace } from "../application/find-or-refuse.ts";
import { Refusal } from "../domain/failure/failure.ts";
import { sqlState, violates } from "./errors.ts";

/**
 * Two requests that write the same new thing at once: one loses on a unique index, tries again and
 * then finds what the other wrote; so does one whose row moved on under it. A lock that was waited for
 * in vain is told as such, and so is a row that points to one which was removed in the meantime.
 */
export async function retrying<T>(work: () => Promise<T>): Promise<T> {
  for (let attempt = 1; ; attempt += 1) {
    try {
      return await work();
    } catch (error) {
      const state = sqlState(error);
      if (state === "55P03") throw new Refusal({ kind: "idempotencyRunning" });
      if (state === "23503" && violates(error, OF_ACCOUNT)) throw new AccountGone();
      if (state === "23503") throw new Refusal({ kind: "conflict", detail: REMOVED });
      const again = state === "23505" || state === "40001" || state === "40P01";
      if (!(again || error instanceof LostRace) || attempt === 3) throw error;
    }
  }
}

/** The foreign keys by which a row belongs to its account. */
const OF_ACCOUNT = /^[a-z_]+_account_id_fkey$/;
const REMOVED = "Something that this belongs to was removed at the same moment. Read it again.";
