/** A period without use. Days since 1970-01-01; `to` is the first day of use again, null = not known. */
export interface LayUpDays {
  readonly from: number;
  readonly to: number | null;
}

/** A stretch of days, `from` before `to`; `to` may be Infinity. */
export interface Stretch {
  readonly from: number;
  readonly to: number;
}

/**
 * Lay-ups in time order, overlapping and touching ones merged, empty ones dropped. One whose end is
 * not known runs on for good, because nobody has said that it ends.
 */
export function mergeLayUps(layUps: readonly LayUpDays[]): Stretch[] {
  const stretches = layUps
    .map(({ from, to }) => ({ from, to: to ?? Number.POSITIVE_INFINITY }))
    .filter(({ from, to }) => to > from)
    .sort((a, b) => a.from - b.from);
  const merged: Stretch[] = [];
  for (const stretch of stretches) {
    const last = merged.at(-1);
    if (last !== undefined && stretch.from <= last.to) {
      merged[merged.length - 1] = { from: last.from, to: Math.max(last.to, stretch.to) };
    } else {
      merged.push(stretch);
    }
  }
  return merged;
}
