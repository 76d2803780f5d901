import type { Instant } from "../../domain/calendar/plain-date.ts";
import { dayOf, type MeterKnown } from "../machine/meters.ts";

/**
 * What a meter had most likely run at an instant at which nobody read it: between the readings on
 * either side by the share of time, after the last one the median of the forecast. null without
 * any reading. In the meter's unit.
 */
export function totalWhenDone(meter: MeterKnown, at: Instant): number | null {
  const after = meter.readings.findLast((reading) => reading.at >= at);
  const before = meter.readings.find((reading) => reading.at <= at);
  if (!before) return after?.total ?? null;
  if (after) {
    const share = after.at === before.at ? 0 : (at - before.at) / (after.at - before.at);
    return before.total + share * (after.total - before.total);
  }
  const { law } = meter;
  return law ? meter.fromLaw(law.at(Math.max(dayOf(at), law.last.day)).totalToday(0.5)) : null;
}
