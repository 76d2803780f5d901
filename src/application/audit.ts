import type { Instant } from "../domain/calendar/plain-date.ts";
import type { Deps } from "./deps.ts";
import { PLANNED_BY } from "./machine/planned-by.ts";
import { refreshMachine } from "./machine/refresh.ts";

/** What the audit needs of the database, over all accounts that live on real time. */
export interface AuditStore {
  /** Whether this day's audit is ours to do: nobody has begun it, or who began it an hour ago is gone. */
  begin(now: Instant): Promise<boolean>;
  /** Machines whose plan was made by others than `plannedBy`. */
  plannedByOthers(
    plannedBy: string,
    limit: number,
  ): Promise<{ accountId: string; vehicleId: string }[]>;
  accounts(after: string | null, limit: number): Promise<string[]>;
  /** Reminders of the account that should have spoken and are in no message, and tasks told without one. */
  overlooked(accountId: string, now: Instant): Promise<number>;
  end(now: Instant, found: { replanned: number; overlooked: number }): Promise<void>;
}

export interface AuditDeps extends Deps {
  audit: AuditStore;
  /** Told of a machine that could not be planned. */
  onFault(fault: unknown, vehicleId: string): void;
}

const MACHINES = 200;
const ACCOUNTS = 500;

/**
 * Once a day, by one worker: plans again what older code or older zone rules planned, and counts
 * reminders that should have spoken and have no message. Null where it is not this worker's turn.
 */
export async function auditPlans(
  now: Instant,
  deps: AuditDeps,
): Promise<{ replanned: number; overlooked: number } | null> {
  if (!(await deps.audit.begin(now))) return null;
  const found = { replanned: await replanOthers(deps), overlooked: 0 };
  for (let after: string | null = null; ; ) {
    const ids: string[] = await deps.audit.accounts(after, ACCOUNTS);
    for (const id of ids) found.overlooked += await deps.audit.overlooked(id, now);
    after = ids.at(-1) ?? null;
    if (ids.length < ACCOUNTS) break;
  }
  await deps.audit.end(now, found);
  return found;
}

async function replanOthers(deps: AuditDeps): Promise<number> {
  const given = new Set<string>();
  for (let replanned = 0; ; ) {
    const machines = await deps.audit.plannedByOthers(PLANNED_BY, MACHINES + given.size);
    const fresh = machines.filter(({ vehicleId }) => !given.has(vehicleId));
    if (fresh.length === 0) return replanned;
    for (const { accountId, vehicleId } of fresh) {
      try {
        await deps.database.asAccount(accountId, (tx) => refreshMachine(tx, vehicleId, deps));
        replanned += 1;
      } catch (fault) {
        given.add(vehicleId);
        deps.onFault(fault, vehicleId);
      }
    }
  }
}
