import type { Instant } from "../calendar/plain-date.ts";

/** The instrument was replaced or rolled over; figures in the meter's unit. */
export interface MeterChange {
  at: Instant;
  /** What the old instrument showed last; absent where nobody noted it. */
  before?: number;
  /** What the new instrument showed at first. */
  after: number;
}

/**
 * What the machine has run in all when its instrument shows `shown`: offset + shown. A change adds
 * what the old instrument had run beyond the new one's first figure, so the total never jumps.
 */
export function totalOf(shown: number, at: Instant, changes: readonly MeterChange[]): number {
  return shown + offsetAt(at, changes);
}

/** What the present instrument shows when the machine has run `total`. */
export function shownFor(total: number, changes: readonly MeterChange[]): number {
  return total - offsetAt(Number.POSITIVE_INFINITY, changes);
}

/** Changes up to and including the instant count: a reading at the very change shows the new one. */
function offsetAt(at: Instant, changes: readonly MeterChange[]): number {
  return changes.reduce(
    (offset, { at: changedAt, before, after }) =>
      changedAt <= at ? offset + (before ?? after) - after : offset,
    0,
  );
}
