import { fromTicks } from "./exact.ts";
import { feelerUnit, limitsSpan, type Span } from "./feeler-pair.ts";
import { type FeelerVerdict, fewestTries, type Try } from "./fewest-tries.ts";
import { limitStacks, type Stack, stacksOf, tellingStacks } from "./leaves-at-hand.ts";
import type { MeasuringPoint } from "./point.ts";

/** A leaf to try: its thickness in the point's unit; its pieces in mm, as the leaves are marked. */
export interface Leaf {
  thickness: number;
  pieces: readonly number[];
  /** False where no leaves were told, and the limit itself is asked for. */
  atHand: boolean;
}

export interface PlanStep extends Leaf {
  ifGoes: PlanStep | FeelerVerdict;
  ifRefuses: PlanStep | FeelerVerdict;
}

export interface MeasuringPlan {
  /** Where to begin; null where the point has no limit that a leaf at hand could tell about. */
  first: PlanStep | null;
  /** Every leaf of the plan once, nearest to the start first: what to lay out and to print. */
  order: readonly Leaf[];
  /** Tries in the worst case. */
  mostTries: number;
}

/**
 * The leaves to try at a feeler point, in the order that needs fewest tries. The limit towards
 * which wear moves the gap comes first, because a failure there ends the measuring.
 * `leaves` (mm) stand in for the point's own.
 * @throws RangeError when the point's unit is no length
 */
export function measuringPlan(point: MeasuringPoint, leaves = point.leaves): MeasuringPlan {
  const known = { least: 0, most: Number.POSITIVE_INFINITY };
  const first = firstTry(point, known, leaves, point.wear ?? "unknown");
  if (first === null) return { first: null, order: [], mostTries: 0 };
  return { first, order: flatten(first), mostTries: depth(first) };
}

/**
 * The first step of the plan that starts from what is known of the gap; null where the gap is
 * judged already or no leaf lies inside what is known.
 */
export function firstTry(
  point: MeasuringPoint,
  known: Span,
  leaves: readonly number[] | undefined,
  wear: "up" | "down" | "unknown",
): PlanStep | null {
  const unit = feelerUnit(point);
  const limits = limitsSpan(point);
  const told = leaves !== undefined && leaves.length > 0;
  const stacks: Stack[] = told ? tellingStacks(stacksOf(leaves), limits) : limitStacks(limits);
  const tree = fewestTries(known, limits, stacks, wear);
  return typeof tree === "string" ? null : step(tree, unit, told);
}

function step(tree: Try, unit: string, atHand: boolean): PlanStep {
  const next = (branch: Try | FeelerVerdict) =>
    typeof branch === "string" ? branch : step(branch, unit, atHand);
  return {
    thickness: fromTicks(tree.stack.ticks, unit),
    pieces: tree.stack.pieces,
    atHand,
    ifGoes: next(tree.ifGoes),
    ifRefuses: next(tree.ifRefuses),
  };
}

function flatten(first: PlanStep): Leaf[] {
  const order = new Map<number, Leaf>();
  let level: PlanStep[] = [first];
  while (level.length > 0) {
    for (const { thickness, pieces, atHand } of level) {
      if (!order.has(thickness)) order.set(thickness, { thickness, pieces, atHand });
    }
    level = level.flatMap((at) => [at.ifGoes, at.ifRefuses]).filter(isStep);
  }
  return [...order.values()];
}

function depth(at: PlanStep | FeelerVerdict): number {
  return isStep(at) ? 1 + Math.max(depth(at.ifGoes), depth(at.ifRefuses)) : 0;
}

function isStep(at: PlanStep | FeelerVerdict): at is PlanStep {
  return typeof at !== "string";
}
