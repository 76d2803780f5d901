import type { Instant } from "../../domain/calendar/plain-date.ts";
import type { Deps } from "../deps.ts";
import { refreshMachine } from "../machine/refresh.ts";
import type { Outbox } from "../ports.ts";

/** Machines planned again in one go; the next sweep goes on. */
const REPLANNED = 200;

export interface SweepDeps extends Deps {
  outbox: Outbox;
}

/**
 * Plans again what must be planned without an occasion, then gathers the reminders that are due into
 * messages. Any number of sweeps may run at once. Answers how many reminders were gathered.
 */
export async function sweep(
  now: Instant,
  sandbox: string | null,
  deps: SweepDeps,
): Promise<number> {
  for (const { accountId, vehicleId } of await deps.outbox.toReplan(now, REPLANNED, sandbox)) {
    await deps.database.asAccount(accountId, (tx) => refreshMachine(tx, vehicleId, deps));
  }
  return deps.outbox.gather(now, deps.ids, deps.mailDomain, sandbox);
}
