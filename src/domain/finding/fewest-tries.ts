import { pairVerdict, type Span } from "./feeler-pair.ts";
import type { Stack } from "./leaves-at-hand.ts";

export type FeelerVerdict = ReturnType<typeof pairVerdict>;

/** One leaf to try, and what follows from either answer. */
export interface Try {
  stack: Stack;
  ifGoes: Try | FeelerVerdict;
  ifRefuses: Try | FeelerVerdict;
}

/**
 * How often a gap turns out so, to weigh the orders of trying: most points checked are found in
 * spec, and those that are not have gone where wear moves them. Our own assumption, no source;
 * it decides only the order, never a verdict.
 */
const IN_SPEC_WEIGHT = 8;
const WORN_WEIGHT = 2;
const OTHER_WEIGHT = 1;

/**
 * The tree of tries with the smallest expected number of them, from what is known of the gap to
 * a verdict or to where the leaves tell no more. Where two orders need equally many, the thinner
 * leaf comes first. `stacks` as `tellingStacks` gives them: at most four, so all orders are
 * weighed.
 */
export function fewestTries(
  known: Span,
  limits: Span,
  stacks: readonly Stack[],
  wear: "up" | "down" | "unknown",
): Try | FeelerVerdict {
  return best(known, { limits, stacks, wear }).tree;
}

interface Setting {
  limits: Span;
  stacks: readonly Stack[];
  wear: "up" | "down" | "unknown";
}

interface Weighed {
  tree: Try | FeelerVerdict;
  /** Sum over the spans that the leaves tell apart: weight times tries. */
  cost: number;
  weight: number;
}

function best(gap: Span, setting: Setting): Weighed {
  const verdict = pairVerdict(gap, setting.limits);
  const inside = setting.stacks.filter((s) => gap.least < s.ticks && s.ticks < gap.most);
  if (verdict !== "undetermined" || inside.length === 0) {
    return { tree: verdict, cost: 0, weight: weightOf(verdict, setting.wear) };
  }
  let found: Weighed | null = null;
  for (const stack of inside) {
    const goes = best({ least: stack.ticks, most: gap.most }, setting);
    const refuses = best({ least: gap.least, most: stack.ticks }, setting);
    const weight = goes.weight + refuses.weight;
    const cost = weight + goes.cost + refuses.cost;
    if (found === null || cost < found.cost) {
      found = { tree: { stack, ifGoes: goes.tree, ifRefuses: refuses.tree }, cost, weight };
    }
  }
  return found as Weighed;
}

function weightOf(verdict: FeelerVerdict, wear: Setting["wear"]): number {
  if (verdict === "inSpec") return IN_SPEC_WEIGHT;
  const worn = wear === "up" ? "loose" : wear === "down" ? "tight" : null;
  return verdict === worn ? WORN_WEIGHT : OTHER_WEIGHT;
}
