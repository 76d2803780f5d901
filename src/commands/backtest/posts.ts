import type { VehicleKind } from "../../domain/usage/kind.ts";
import type { Point } from "../../domain/usage/track.ts";
import { exponential, normal } from "./seeded.ts";

/** How a rider comes to post a reading. */
type Manner = "tank" | "now and then" | "after a ride";

/** Distance between two fillings, km: common practice, no source. */
const TANK_KM: Partial<Record<VehicleKind, number>> = { car: 550, van: 550, camper: 500 };
const SMALL_TANK_KM = 220;

/** What is posted of a machine's story: at each filling, on odd days, or when it was ridden. */
export function postsOf(
  truth: readonly Point[],
  { kind, habit }: { readonly kind: VehicleKind; readonly habit: string },
  random: () => number,
): Point[] {
  const manner = mannerOf(habit, random());
  const every = habit === "sparse poster" ? 60 + 60 * random() : 7 * Math.exp(1.6 * random());
  const tank = (TANK_KM[kind] ?? SMALL_TANK_KM) * Math.exp(0.2 * normal(random));
  const rounding = random() < 0.8 ? 1 : random() < 0.7 ? 10 : 100;
  const posted: Point[] = [];
  let nextDay = 0;
  let nextKm = 0;
  for (const [i, { day, km }] of truth.entries()) {
    const moved = km > (truth[i - 1]?.km ?? km - 1);
    const wanted =
      manner === "tank" ? km >= nextKm : day >= nextDay && (manner !== "after a ride" || moved);
    if (!wanted) continue;
    const shown = Math.floor(km / rounding) * rounding;
    posted.push({ day, km: Math.max(shown, posted.at(-1)?.km ?? 0) });
    nextDay = day + every * (0.5 + 0.5 * exponential(random));
    nextKm = km + tank * (0.6 + 0.5 * random());
  }
  return posted;
}

function mannerOf(habit: string, draw: number): Manner {
  if (habit === "sparse poster") return draw < 0.5 ? "now and then" : "after a ride";
  return draw < 0.4 ? "tank" : draw < 0.7 ? "now and then" : "after a ride";
}
