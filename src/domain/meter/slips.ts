import { convertDistance, type DistanceUnit } from "../units/distance.ts";

export type SlipCode =
  | "otherUnit"
  | "digitDropped"
  | "digitDoubled"
  | "digitsSwapped"
  | "digitMistyped";

export interface Slip {
  code: SlipCode;
  /** What the meter showed if this slip was made, in the posted unit. */
  value: number;
}

/**
 * What the meter may have shown if the posted value came about by one of the usual slips: the other
 * unit's figure, one digit dropped, one doubled, two neighbours swapped, one mistyped.
 */
export function slipsOf(value: number, unit: DistanceUnit | "h"): Slip[] {
  const slips: Slip[] = [];
  if (unit !== "h") {
    const other = unit === "km" ? "mi" : "km";
    slips.push({ code: "otherUnit", value: Math.round(convertDistance(value, other, unit)) });
  }
  const whole = Math.floor(value);
  const digits = String(whole);
  const rest = value - whole;
  const add = (code: SlipCode, text: string) => {
    if (text === "" || (text.length > 1 && text.startsWith("0"))) return;
    const meant = Number(text) + rest;
    if (meant !== value) slips.push({ code, value: meant });
  };
  for (let at = 0; at <= digits.length; at += 1) {
    for (let digit = 0; digit <= 9; digit += 1) {
      add("digitDropped", digits.slice(0, at) + digit + digits.slice(at));
      if (at < digits.length)
        add("digitMistyped", digits.slice(0, at) + digit + digits.slice(at + 1));
    }
  }
  for (let at = 0; at + 1 < digits.length; at += 1) {
    const [one = "", two = ""] = [digits[at], digits[at + 1]];
    if (one === two) add("digitDoubled", digits.slice(0, at) + digits.slice(at + 1));
    else add("digitsSwapped", digits.slice(0, at) + two + one + digits.slice(at + 2));
  }
  return slips;
}

/**
 * How much is to be taken off a slip's evidence because there are many of its kind: of sixty ways
 * to mistype a digit one nearly always lands where the reading was expected. Natural logarithm.
 */
export function choiceOf(code: SlipCode, slips: readonly Slip[]): number {
  return Math.log(slips.filter((slip) => slip.code === code).length);
}
