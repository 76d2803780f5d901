import type { DistanceUnit } from "../units/distance.ts";
import type { SlipCode } from "./slips.ts";

export type HoldCode =
  | "runsBackwards"
  | "tooFast"
  | "sameInstantOtherValue"
  | "earlierIsTheSlip"
  | SlipCode;

export interface HoldReason {
  code: HoldCode;
  /**
   * What the meter more likely showed, in the unit that was posted; with `earlierIsTheSlip` what it
   * showed at the earlier reading.
   */
  likelierValue?: number;
  /** Unit of the likelier value, where the earlier reading was posted in another unit than this one. */
  likelierUnit?: DistanceUnit | "h";
  /** The reading posted before that is the likelier slip, or that this one contradicts. */
  earlierReadingId?: string;
}

/** What the held reading itself more likely showed, in its own unit; not what an earlier one did. */
export function likelierValueOf(reasons: readonly HoldReason[]): number | undefined {
  return reasons.find(
    ({ code, likelierValue }) => code !== "earlierIsTheSlip" && likelierValue !== undefined,
  )?.likelierValue;
}
