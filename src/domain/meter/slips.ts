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
  /**
   * P(this very figure comes of a slip of the kind made of that value): one of nine other digits at
   * one of the places. Summed over the values that lead to it where a unit is not whole in the other.
   */
  chance: number;
}

/** Values between which the meter can have stood, in the posted unit. */
export interface Possible {
  from: number;
  to: number;
}

/**
 * What the meter may have shown if the posted value came about by one of the usual slips: the other
 * unit's figure, one digit dropped, one doubled, two neighbours swapped, one mistyped. Those outside
 * of what is possible are left out; no figure is meant to begin with a zero.
 */
export function slipsOf(
  value: number,
  unit: DistanceUnit | "h",
  { from, to }: Possible = { from: 0, to: Number.POSITIVE_INFINITY },
): Slip[] {
  const slips: Slip[] = [];
  const whole = Math.floor(value);
  const rest = value - whole;
  const places = String(whole).length;
  const add = (code: SlipCode, meant: number, chance: number) => {
    if (meant >= from && meant <= to && meant !== value) slips.push({ code, value: meant, chance });
  };
  if (unit !== "h") {
    const other = unit === "km" ? "mi" : "km";
    const one = convertDistance(1, other, unit);
    add("otherUnit", Math.round(value * one), one);
  }
  for (let place = places; place >= 0; place -= 1) {
    const power = 10 ** place;
    const [above, below] = [Math.floor(whole / power), whole % power];
    const [digit, next] = [above % 10, Math.floor(below / (power / 10))];
    for (let other = 0; other <= 9; other += 1) {
      if (place === places ? other > 0 : whole > 0)
        add("digitDropped", (above * 10 + other) * power + below + rest, 1 / (places + 1));
      if (place < places - 1 || (place < places && (other > 0 || places === 1)))
        add("digitMistyped", value + (other - digit) * power, 1 / (9 * places));
    }
    if (place === 0 || place === places) continue;
    const lower = power / 10;
    if (digit === next)
      add("digitDoubled", above * lower + (below % lower) + rest, 1 / (places - 1));
    else if (next > 0 || place < places - 1)
      add("digitsSwapped", value + (next - digit) * (power - lower), 1 / (places - 1));
  }
  return slips;
}
