/** What is measured at a point. */
export type Quantity =
  | "clearance"
  | "thickness"
  | "depth"
  | "voltage"
  | "pressure"
  | "torque"
  | "length"
  | "percent"
  | "condition";

/** A place on the machine where a finding is taken, with its limits and its way of measuring. */
export interface MeasuringPoint {
  name: string;
  quantity: Quantity;
  /** Unit of the limits and of every figure found here; without it the quantity's usual one. */
  unit?: string | undefined;
  lower?: number | undefined;
  upper?: number | undefined;
  method: "value" | "feeler" | "look";
  cylinder?: number | undefined;
  side?: "inlet" | "exhaust" | undefined;
  position?: string | undefined;
  /** Where use moves the figure. */
  wear?: "up" | "down" | "unknown" | undefined;
  /** The feeler leaves at hand, always in mm, one entry a leaf. */
  leaves?: readonly number[] | undefined;
}

/**
 * What was found at a point, in the point's unit. A feeler pair knows the gap c only as
 * goes <= c < refuses; a leaf that had to be forced did not go in.
 */
export type Measurement =
  | { value: number }
  | { goes?: number | undefined; refuses?: number | undefined }
  | { look: "sound" | "watch" | "replace" }
  | { stated: true };

export type Verdict =
  | "inSpec"
  | "under"
  | "over"
  | "tight"
  | "loose"
  | "undetermined"
  | "sound"
  | "watch"
  | "replace"
  | "stated";

const USUAL_UNIT: Record<Quantity, string> = {
  clearance: "mm",
  thickness: "mm",
  depth: "mm",
  length: "mm",
  voltage: "V",
  pressure: "kPa",
  torque: "N·m",
  percent: "%",
  condition: "",
};

/** The unit in which the point's figures are told; empty for a condition. */
export function unitOf(point: Pick<MeasuringPoint, "quantity" | "unit">): string {
  return point.unit ?? USUAL_UNIT[point.quantity];
}
