import type { Instant } from "../../domain/calendar/plain-date.ts";
import { Refusal, refuseField } from "../../domain/failure/failure.ts";
import type { Database } from "../database.ts";
import { type FollowDeps, followInSandbox } from "../webhooks/follow-events.ts";
import { type SendDeps, sendMessage } from "./send-message.ts";
import { sweep } from "./sweep.ts";

/** What a sandbox's year is run with. */
export type ClockDeps = SendDeps & FollowDeps;

/** So long one move waits, in all, for changes of others to be settled before their events are told. */
const SETTLED_MS = 5_000;

/** More moments than this on the way means that something plans itself over and over. */
const MOST_MOMENTS = 20_000;

/**
 * Moves a sandbox's clock forward, moment by moment in their order: at each, the clock stands there
 * and the very verbs of production run with it. Only the sender differs: it keeps the mail.
 */
export async function moveClock(accountId: string, to: Instant, deps: ClockDeps): Promise<void> {
  const from = await clockOf(deps.database, accountId);
  if (to < from) {
    throw refuseField("#/to", `must not lie before the clock, ${new Date(from).toISOString()}`);
  }
  const limit = performance.now() + SETTLED_MS;
  await runAt(accountId, from, limit, deps);
  for (let count = 0; ; count += 1) {
    const moment = await deps.outbox.nextMoment(accountId);
    if (moment === null || moment > to) break;
    if (count === MOST_MOMENTS) throw new Error(`Sandbox ${accountId} has no end of moments.`);
    await runAt(accountId, moment, limit, deps);
  }
  await setClock(deps.database, accountId, to);
}

/** Everything that is due at the moment, until nothing is. */
async function runAt(
  accountId: string,
  moment: Instant,
  limit: number,
  deps: ClockDeps,
): Promise<void> {
  const now = await setClock(deps.database, accountId, moment);
  while ((await sweep(now, accountId, deps)) > 0);
  for (;;) {
    const waiting = await deps.outbox.waiting("mail", now, 100, accountId);
    if (waiting.length === 0) break;
    for (const { messageId } of waiting) await sendMessage(accountId, messageId, now, deps);
  }
  await followInSandbox(accountId, now, limit, deps);
}

async function clockOf(database: Database, accountId: string): Promise<Instant> {
  const account = await database.asAccount(accountId, (tx) => tx.accounts.find());
  if (account?.clock == null) {
    throw new Refusal({
      kind: "conflict",
      detail: "Only a sandbox account has a clock that can be moved.",
    });
  }
  return account.clock;
}

/** Never back: of two moves at once the later one stands. Answers the time that it is. */
function setClock(database: Database, accountId: string, to: Instant): Promise<Instant> {
  return database.asAccount(accountId, async (tx) => {
    const account = await tx.accounts.find();
    if (!account?.clock || account.clock >= to) return account?.clock ?? to;
    const moved = await tx.accounts.update(account.version, { clock: to, updatedAt: to });
    return moved.clock ?? to;
  });
}
