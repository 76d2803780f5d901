import type { Instant } from "../domain/calendar/plain-date.ts";
import { type ExpectedVersion, requireVersion } from "../domain/failure/expected-version.ts";
import { Refusal } from "../domain/failure/failure.ts";
import { AccountGone } from "./account-gone.ts";
import { type Caller, requireRight } from "./caller.ts";

/** What is kept of an account that was deleted. */
export interface DeletedAccount {
  accountId: string;
  deletedAt: Instant;
  /** Rows deleted, by table. */
  rows: Record<string, number>;
}

/** What of an account its deletion is allowed by. */
export interface AccountToDelete {
  name: string;
  version: number;
}

export interface AccountErasure {
  /**
   * Deletes every row of the account in one transaction, and keeps how many there were. `allow` looks
   * at the locked account, null for none, and throws where it may not be deleted.
   */
  erase(
    accountId: string,
    at: Instant,
    allow: (account: AccountToDelete | null) => void,
  ): Promise<DeletedAccount>;
  /** Rows of the account that are left in any table, looked for in a transaction of its own. */
  left(accountId: string): Promise<number>;
  find(accountId: string): Promise<DeletedAccount | null>;
}

export interface DeletionDeps {
  erasure: AccountErasure;
  clock(): Instant;
}

/** Deletes the caller's account for good, then counts what is left of it. */
export async function deleteAccount(
  caller: Caller,
  name: string,
  expected: ExpectedVersion,
  { erasure, clock }: DeletionDeps,
): Promise<DeletedAccount & { remaining: number }> {
  requireRight(caller, "administer");
  const deleted = await erasure.erase(caller.accountId, clock(), (account) => {
    if (!account) throw new AccountGone();
    if (account.name !== name) {
      const detail = "must be the account's name, letter by letter";
      throw new Refusal({ kind: "invalid", errors: [{ parameter: "name", detail }] });
    }
    requireVersion(expected, account.version, "account");
  });
  return { ...deleted, remaining: await erasure.left(caller.accountId) };
}
