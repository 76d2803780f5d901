import type { Leaf } from "./measuring-plan.ts";

/** The limits of the point as they were given, in `unit`. */
export interface StatedLimits {
  lower?: number;
  upper?: number;
  unit: string;
}

/** A feeler pair as it was given, in the unit of the limits. */
export interface StatedPair {
  goes?: number;
  refuses?: number;
}

/** Why a finding was judged as it was: everything that a sentence about it has to name. */
export type Why =
  | { code: "within" | "below" | "above" | "noLimits"; value: number; limits: StatedLimits }
  | { code: "gapWithin" | "gapTight" | "gapLoose"; pair: StatedPair; limits: StatedLimits }
  | {
      code: "gapStraddles";
      pair: StatedPair;
      limits: StatedLimits;
      /** The limit that the gap may lie on either side of; the lower where both are open. */
      open: "lower" | "upper";
      /** What to try next; null where no leaf at hand tells more. */
      next: Leaf | null;
    }
  | { code: "gapNoLimits"; pair: StatedPair }
  | { code: "looked"; look: "sound" | "watch" | "replace" }
  | { code: "stated" };
