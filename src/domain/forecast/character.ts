import { type Habit, habitOf } from "../usage/habit.ts";
import type { VehicleKind } from "../usage/kind.ts";
import { type Temper, temperOf } from "./temper.ts";

/** All that is assumed of a kind of machine before its own readings speak. */
export interface Character {
  readonly habit: Habit;
  readonly temper: Temper;
}

export function characterOf(kind: VehicleKind): Character {
  return { habit: habitOf(kind), temper: temperOf(kind) };
}
