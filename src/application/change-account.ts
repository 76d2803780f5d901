import { type ExpectedVersion, requireVersion } from "../domain/failure/expected-version.ts";
import { AccountGone } from "./account-gone.ts";
import { type Caller, requireRight } from "./caller.ts";
import { accountTime, type Deps, eventOf } from "./deps.ts";
import type { Transaction } from "./ports.ts";
import type { Account } from "./records.ts";

export async function changeAccount(
  tx: Transaction,
  caller: Caller,
  expected: ExpectedVersion,
  patch: (account: Account) => Pick<Account, "name" | "allowedOrigins">,
  deps: Deps,
): Promise<Account> {
  requireRight(caller, "administer");
  const account = await tx.accounts.find();
  if (!account) throw new AccountGone();
  requireVersion(expected, account.version, "account");
  const now = await accountTime(tx, deps);
  const written = await tx.accounts.update(account.version, { ...patch(account), updatedAt: now });
  const subject = { resourceId: account.id };
  await tx.machine.write({ events: [eventOf(deps, now, "account.changed", subject, {})] }, now);
  return written;
}
