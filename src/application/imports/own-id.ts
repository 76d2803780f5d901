import type { Collection } from "../ports.ts";

const UUID = /^[0-9a-f]{8}-[0-9a-f]{4}-[0-9a-f]{4}-[0-9a-f]{4}-[0-9a-f]{12}$/;

/**
 * What has no externalId is exported with its id in that place, so that the file can be posted again:
 * here it is found by it.
 */
export async function ownId<T extends { id: string; version: number; externalId: string | null }>(
  rows: Collection<T, never>,
  externalId: string | null,
): Promise<T | null> {
  if (externalId === null || !UUID.test(externalId)) return null;
  const row = await rows.find(externalId);
  return row?.externalId === null ? row : null;
}
