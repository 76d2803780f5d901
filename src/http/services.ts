import type { CalendarAddresses } from "../application/calendar-addresses.ts";
import type { AccountErasure } from "../application/delete-account.ts";
import type { DeletionProofs } from "../application/deletion-proofs.ts";
import type { Deps } from "../application/deps.ts";
import type { FindFollowedCalendar } from "../application/followed-calendar.ts";
import type { Links } from "../application/links.ts";
import type { Replay, Transaction } from "../application/ports.ts";
import type { WebhookSecrets } from "../application/webhooks/webhook-secrets.ts";
import type { Caller } from "./caller.ts";
import type { IdempotencyHandle, SealableAnswer } from "./plugins/idempotency.ts";
import { routeMaker } from "./route.ts";

/** What the handlers of all resources need. */
export interface Services extends Deps {
  links: Links;
  webhookSecrets: WebhookSecrets;
  webhookAllowPrivate: boolean;
  calendars: CalendarAddresses;
  deletionProofs: DeletionProofs;
  erasure: AccountErasure;
  followedCalendar: FindFollowedCalendar;
  /** Moves a sandbox's clock with everything that happens on the way; see move-clock.ts. */
  moveClock(accountId: string, to: number): Promise<void>;
}

export const defineRoute = routeMaker<Services>();

interface AccountCall {
  readonly deps: Services;
  readonly caller: Caller;
  readonly idempotency: IdempotencyHandle | null;
}

/** Does the work in one transaction of the caller's account. */
export function inAccount<T>(
  call: Pick<AccountCall, "deps" | "caller">,
  work: (tx: Transaction) => Promise<T>,
): Promise<T> {
  return call.deps.database.asAccount(call.caller.accountId, work);
}

/** The same for what creates: the answer is kept in that transaction under the request's key. */
export function onceInAccount<A extends SealableAnswer>(
  call: AccountCall,
  work: (tx: Transaction) => Promise<A>,
): Promise<A | Replay> {
  return call.deps.database.once<A>(call.caller.accountId, call.idempotency, work);
}
