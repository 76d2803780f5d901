import type { LastWork } from "../interval/task-plan.ts";
import { toTenth } from "../units/distance.ts";
import type { CountedLimits } from "./count-limits.ts";

/**
 * The name of an occurrence: what its due point counts from, or the printed marks on which it
 * falls. Each limit keeps its own marks, so all of them are named: any one moving makes another
 * occurrence.
 */
export function occurrenceOf(last: LastWork, counted: CountedLimits): string {
  const { distance, hours, date } = counted;
  if (counted.counted === "mark") {
    const marks: string[] = [];
    if (distance !== undefined) marks.push(`mark:${toTenth(distance.at)}`);
    if (hours !== undefined) marks.push(`hours:${toTenth(hours.at)}`);
    if (date !== undefined) marks.push(`date:${date.at}`);
    return marks.join("+");
  }
  return last.state === "done" ? `work:${last.recordId ?? last.on}` : "start";
}
