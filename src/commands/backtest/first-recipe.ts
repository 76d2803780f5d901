import { type Character, characterOf } from "../../domain/forecast/character.ts";
import { isFourWheeled } from "../../domain/usage/habit.ts";
import type { VehicleKind } from "../../domain/usage/kind.ts";

/** What no kind knew at first: an average of all time, habits that drift, posts that follow the distance. */
const TEMPER = {
  everShare: 0,
  fading: 65,
  drift: 0,
  scatterPower: 0.6,
  postingDoubt: Number.POSITIVE_INFINITY,
};
const FOUR_WHEELS_HABIT = {
  seasonDays: 300,
  seasonHalfLife: 220,
  longHalfLife: 110,
  priorDays: 100,
  kindDays: null,
};
const OTHERS_HABIT = { now: { halfLife: 8, priorDays: 3 }, priorDays: 50, kindDays: null };

/**
 * The assumptions of the first recipe, kept to measure against and because forty machines were
 * computed by it independently.
 */
export function firstCharacterOf(kind: VehicleKind): Character {
  const { habit, temper } = characterOf(kind);
  const four = isFourWheeled(kind);
  return {
    habit: { ...habit, ...(four ? FOUR_WHEELS_HABIT : OTHERS_HABIT) },
    temper: { ...temper, ...TEMPER, parkedOdds: four ? 0.03 : 0.18 },
  };
}
