import { visibleVehicles } from "../application/caller.ts";
import type { Transaction } from "../application/ports.ts";
import type { Caller } from "./caller.ts";

const MOST = 10_000;

/**
 * The vehicles that a list may speak of: those asked for among those that the caller sees; undefined
 * where the caller sees all and none was asked for.
 */
export async function visibleIds(
  tx: Transaction,
  caller: Caller,
  wanted: string | undefined,
): Promise<string[] | undefined> {
  const bounds = visibleVehicles(caller);
  if (bounds.ids === undefined && bounds.responsibleMemberId === undefined) {
    return wanted === undefined ? undefined : [wanted];
  }
  const { items } = await tx.vehicles.list(bounds, { limit: MOST, after: null });
  const ids = items.map(({ id }) => id);
  return wanted === undefined ? ids : ids.filter((id) => id === wanted);
}
