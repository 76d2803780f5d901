import { isDeepStrictEqual } from "node:util";
import { Refusal } from "../domain/failure/failure.ts";
import type { PageOf, PageRequest } from "./ports.ts";

/**
 * A caller may post its own id again, as a phone does that was offline. The same content answers with
 * what is there, other content is a conflict. `given` holds only what the caller sent, by the names
 * of the stored record, so that defaults that were worked out do not count.
 */
export function requireSameContent(
  existing: object,
  given: Record<string, unknown>,
  externalId: string,
): void {
  const stored = existing as Record<string, unknown>;
  const other = Object.keys(given).find(
    (name) => given[name] !== undefined && !isDeepStrictEqual(stored[name], given[name]),
  );
  if (other === undefined) return;
  throw new Refusal({
    kind: "conflict",
    detail: `The externalId "${externalId}" is taken by one with another ${other}. Send the same content again, or another externalId.`,
  });
}

interface Named {
  id: string;
  externalId: string | null;
}

/**
 * A change may give a thing an externalId only where no other of its kind has it.
 * @throws Refusal conflict
 */
export async function requireFreeExternalId(
  rows: { list(filter: { externalId: string }, page: PageRequest): Promise<PageOf<Named>> },
  changed: Named,
  externalId: string | null,
): Promise<void> {
  if (externalId === null || externalId === changed.externalId) return;
  const { items } = await rows.list({ externalId }, { limit: 1, after: null });
  const other = items.find(({ id }) => id !== changed.id);
  if (other === undefined) return;
  throw new Refusal({
    kind: "conflict",
    detail: `The externalId "${externalId}" is taken by ${other.id}. Give that one another first, or choose another here.`,
  });
}
