import type { PlainDate } from "../../domain/calendar/plain-date.ts";

type Row = Record<string, unknown>;

/** Drops the conditions that were not asked for. */
export function given(conditions: Row): Row {
  return Object.fromEntries(Object.entries(conditions).filter(([, value]) => value !== undefined));
}

/** Instants from `from` on and before `to`; nothing where neither is given. */
export function between(from: number | undefined, to: number | undefined): Row | undefined {
  if (from === undefined && to === undefined) return undefined;
  return given({
    gte: from === undefined ? undefined : new Date(from),
    lt: to === undefined ? undefined : new Date(to),
  });
}

/** A plain date as a column of dates takes it. */
export function day(date: PlainDate): Date {
  return new Date(`${date}T00:00:00Z`);
}

export function since(instant: number | undefined): Row | undefined {
  return instant === undefined ? undefined : { gt: new Date(instant) };
}
