import { KM_PER_MI } from "../../domain/units/distance.ts";
import type { VehicleKind } from "../../domain/usage/kind.ts";
import type { Point } from "../../domain/usage/track.ts";
import type { Series } from "./series.ts";

const HEADS = { km: 1, odometer: 1, mi: KM_PER_MI } as const;

/**
 * A series from a file of readings: lines of a date (or an instant) and a total, under a head of
 * `date,km`, `date,odometer` (km too) or `date,mi`; lines with # are passed over. The truth between two readings is
 * the straight line. Throws an Error that names file and line for anything else.
 */
export function seriesOf(name: string, text: string, kind: VehicleKind): Series {
  let factor: number | null = null;
  const points: Point[] = [];
  for (const [index, line] of text.split(/\r?\n/).entries()) {
    if (line.trim() === "" || line.startsWith("#")) continue;
    const fault = (wanted: string) => new Error(`${name}, line ${index + 1}: ${wanted}`);
    if (factor === null) {
      const head = /^date,(km|odometer|mi)$/.exec(line.trim().toLowerCase())?.[1];
      if (head === undefined) throw fault("write the head date,km or date,odometer or date,mi");
      factor = HEADS[head as keyof typeof HEADS];
      continue;
    }
    const [date = "", total = ""] = line.split(",");
    const at = Date.parse(date.trim());
    const figure = Number(total);
    if (Number.isNaN(at)) throw fault(`"${date}" is no date; write it as 2026-05-01`);
    if (total.trim() === "" || !Number.isFinite(figure) || figure < 0)
      throw fault(`"${total}" is no distance`);
    points.push({ day: at / 86_400_000, km: figure * factor });
  }
  points.sort((a, b) => a.day - b.day || a.km - b.km);
  const posted = points.filter(({ km }, i) => points.slice(0, i).every((one) => one.km <= km));
  if (posted.length < 3) throw new Error(`${name}: at least three readings are needed`);
  return { name, group: "files", kind, posted, layUps: [], truth: posted };
}
