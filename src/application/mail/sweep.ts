import type { Instant } from "../../domain/calendar/plain-date.ts";
import { Refusal } from "../../domain/failure/failure.ts";
import type { Deps } from "../deps.ts";
import { refreshMachine } from "../machine/refresh.ts";
import type { Outbox } from "../outbox-ports.ts";
import { writeDigest } from "./plan-digest.ts";

/** Machines planned again in one go; the next sweep goes on. */
const REPLANNED = 200;

/** Digests written in one go. */
const DIGESTS = 200;

/** What cannot be planned or written is tried again after this. */
const PUT_OFF_MS = 3_600_000;

export interface SweepDeps extends Deps {
  outbox: Outbox;
  /** Told of a machine or a member's digest that could not be planned; without it the sweep fails. */
  onFault?(fault: unknown, id: string): void;
}

/**
 * Plans again what must be planned without an occasion, writes the digests that are due, then gathers
 * the reminders that are due into messages. Any number of sweeps may run at once. Answers how many
 * digests were written and reminders gathered.
 */
export async function sweep(
  now: Instant,
  sandbox: string | null,
  deps: SweepDeps,
): Promise<number> {
  for (const { accountId, vehicleId } of await deps.outbox.toReplan(now, REPLANNED, sandbox)) {
    try {
      await deps.database.asAccount(accountId, (tx) => refreshMachine(tx, vehicleId, deps));
    } catch (fault) {
      if (isGone(fault)) continue;
      if (!deps.onFault) throw fault;
      deps.onFault(fault, vehicleId);
      await deps.outbox.postponeReplan(accountId, vehicleId, now + PUT_OFF_MS);
    }
  }
  const digests = await writeDigests(now, sandbox, deps);
  return digests + (await deps.outbox.gather(now, deps.ids, deps.mailDomain, sandbox));
}

/** Removed since it was looked for: there is nothing left to plan. */
function isGone(fault: unknown): boolean {
  return fault instanceof Refusal && fault.failure.kind === "notFound";
}

async function writeDigests(
  now: Instant,
  sandbox: string | null,
  deps: SweepDeps,
): Promise<number> {
  let written = 0;
  for (const { accountId, memberId } of await deps.outbox.digestsDue(now, DIGESTS, sandbox)) {
    try {
      const own = await deps.database.asAccount(accountId, (tx) =>
        writeDigest(tx, memberId, now, deps),
      );
      written += own ? 1 : 0;
    } catch (fault) {
      if (isGone(fault)) continue;
      if (!deps.onFault) throw fault;
      deps.onFault(fault, memberId);
      await deps.outbox.postponeDigest(accountId, memberId, now + PUT_OFF_MS);
    }
  }
  return written;
}
