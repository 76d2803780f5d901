import { TICKS_PER_MM, toTicks } from "./exact.ts";
import type { Span } from "./feeler-pair.ts";

/** One leaf, or two stacked: how thick together, and which pieces (mm, thinner first). */
export interface Stack {
  ticks: number;
  pieces: readonly number[];
}

/**
 * Every thickness that the leaves (mm, one entry a leaf) make alone or two stacked, thinnest
 * first. Two leaves add up: US Army TM 1-1500-204-23-9, paragraph 3-17. Where one leaf does what
 * two would, one is taken, because every joint adds an error.
 */
export function stacksOf(leaves: readonly number[]): Stack[] {
  const sorted = [...leaves].sort((a, b) => a - b);
  const byTicks = new Map<number, Stack>();
  const add = (pieces: readonly number[]) => {
    const ticks = pieces.reduce((sum, piece) => sum + toTicks(piece, "mm"), 0);
    if (!byTicks.has(ticks)) byTicks.set(ticks, { ticks, pieces });
  };
  for (const leaf of sorted) add([leaf]);
  for (const [i, thin] of sorted.entries()) {
    for (const thick of sorted.slice(i + 1)) add([thin, thick]);
  }
  return [...byTicks.values()].sort((a, b) => a.ticks - b.ticks);
}

/**
 * The stacks that can tell something about these limits: for each limit the one that is exactly
 * it, else the nearest on either side. Any other says no more than one of these.
 */
export function tellingStacks(stacks: readonly Stack[], limits: Span): Stack[] {
  const telling = new Set<Stack>();
  for (const limit of [limits.least, limits.most]) {
    if (!Number.isFinite(limit)) continue;
    const below = stacks.findLast((stack) => stack.ticks <= limit);
    const above = stacks.find((stack) => stack.ticks >= limit);
    if (below) telling.add(below);
    if (above && below?.ticks !== limit) telling.add(above);
  }
  return [...telling].sort((a, b) => a.ticks - b.ticks);
}

/** The limits themselves, for someone whose leaves are not known. */
export function limitStacks(limits: Span): Stack[] {
  return [...new Set([limits.least, limits.most])]
    .filter((ticks) => Number.isFinite(ticks) && ticks > 0)
    .map((ticks) => ({ ticks, pieces: [ticks / TICKS_PER_MM] }));
}
