import type { Stored } from "../../application/records.ts";
import { toTenth } from "../../domain/units/distance.ts";

/** An instant as it goes out: RFC 3339 in UTC. */
export function shownInstant(instant: number): string {
  return new Date(instant).toISOString();
}

export function shownInstantOrNull(instant: number | null): string | null {
  return instant === null ? null : shownInstant(instant);
}

/** A distance as it goes out, to 0.1 of its unit; nothing inside is rounded. */
export function shownDistance(distance: number): number {
  return toTenth(distance);
}

/**
 * What every stored resource shows of itself, and its own fields after that. Assigned, not spread: to
 * add so many fields to a spread object costs V8 ten times as much, on every row of a list.
 */
export function shownStored<T extends object>({ id, createdAt, updatedAt }: Stored, fields: T) {
  const stored = { id, createdAt: shownInstant(createdAt), updatedAt: shownInstant(updatedAt) };
  return Object.assign(stored, fields);
}

/** Drops what is undefined, so that optional members of an answer are absent. */
export function present<T extends object>(fields: T): { [K in keyof T]: Exclude<T[K], undefined> } {
  return Object.fromEntries(
    Object.entries(fields).filter(([, value]) => value !== undefined),
  ) as never;
}
