import { fit as lawFrom } from "../../domain/forecast/fit.ts";
import type { Law } from "../../domain/forecast/law.ts";
import { firstCharacterOf } from "./first-recipe.ts";
import type { Belief, Method } from "./method.ts";

/** The product's own forecast. */
export const FOREWHEEL: Method = {
  name: "Forewheel",
  believe: (history) => beliefOf(lawFrom(history)),
};

export const FIRST_RECIPE: Method = {
  name: "the first recipe",
  believe: (history) => beliefOf(lawFrom(history, firstCharacterOf(history.kind))),
};

function beliefOf(law: Law | null): Belief {
  if (law === null) throw new Error("a forecast needs a reading");
  return {
    crossing: (km) => (day) => law.reachedBy(km, day),
    at: (asOf) => beliefOf(law.at(asOf)),
  };
}
