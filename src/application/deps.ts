import type { Instant } from "../domain/calendar/plain-date.ts";
import type { Database } from "./database.ts";
import type { EventTypeName } from "./event-types.ts";
import type { IdMaker, Transaction } from "./ports.ts";
import type { EventRecord } from "./records.ts";

/** What verbs need of the world. */
export interface Deps {
  database: Database;
  ids: IdMaker;
  /** Real time; a sandbox account goes by its own, see `accountTime`. */
  clock(): Instant;
  /** The right-hand side of Message-IDs. */
  mailDomain: string;
}

/** The account's time: a sandbox lives on its own clock. */
export async function accountTime(tx: Transaction, deps: Pick<Deps, "clock">): Promise<Instant> {
  const account = await tx.accounts.find();
  return account?.clock ?? deps.clock();
}

/** The marks that a new row gets. */
export function fresh(deps: Pick<Deps, "ids">, now: Instant) {
  return { id: deps.ids(), createdAt: now, updatedAt: now };
}

/** A line of the log of changes. */
export function eventOf(
  deps: Pick<Deps, "ids">,
  now: Instant,
  type: EventTypeName,
  subject: { resourceId: string; vehicleId?: string | null },
  data: Record<string, unknown>,
): EventRecord {
  const { resourceId, vehicleId = null } = subject;
  return { id: deps.ids(), type, vehicleId, resourceId, data, at: now };
}
