import { MS_PER_DAY } from "../../domain/calendar/plain-date.ts";
import { likelierValueOf } from "../../domain/meter/hold-reason.ts";
import type { ForecastChartView } from "../views.ts";
import type { Assessed } from "./assess.ts";
import { likelyDates } from "./mail-view.ts";
import { dayOf } from "./meters.ts";

/** Days that the fan looks ahead, and how many steps it is drawn in. */
const AHEAD_DAYS = 365;
const STEPS = 36;

/** Without a fan a drawing says of these dates that they are not known. */
const UNKNOWN = { from: null, to: null, most: null };

/** The distance meter's readings, what is to come, and the due lines of the machine's tasks. */
export function chartView(assessed: Assessed): ForecastChartView {
  const { machine, now, zone, tasks } = assessed;
  const { vehicle, responsible, layUps } = machine;
  return {
    machine: { name: vehicle.name, ...(vehicle.group !== null && { group: vehicle.group }) },
    readings: machine.readings
      .filter(({ meter, status }) => meter === "distance" && status !== "superseded")
      .map((reading) => {
        const likelierValue = likelierValueOf(reading.reasons);
        return {
          at: reading.at,
          value: reading.total,
          status: reading.status === "held" ? ("held" as const) : ("accepted" as const),
          ...(likelierValue !== undefined && { likelierValue }),
        };
      })
      .sort((a, b) => a.at - b.at),
    layUps: layUps.map(({ from, to }) => ({ from, to })),
    fan: fanOf(assessed),
    dueLines: tasks.flatMap((one) => {
      if (one.due.state !== "point" || one.due.point.distance === undefined) return [];
      const likely = likelyDates(assessed, one);
      // With a law but without dates, another limit that nothing tells of comes last.
      if (!likely && assessed.meters.distance.law) return [];
      return [{ title: one.task.title, value: one.due.point.distance, ...(likely ?? UNKNOWN) }];
    }),
    unit: vehicle.meterUnit,
    now,
    locale: responsible.locale,
    zone,
  };
}

/** Quantiles of the total at days to come: where P(reached by the day) passes 1 - p. */
function fanOf({ meters: { distance }, now }: Assessed): ForecastChartView["fan"] {
  const { law, fromLaw } = distance;
  if (!law) return [];
  const today = dayOf(now);
  const most =
    law.last.km + 4 * Math.max(100, (AHEAD_DAYS + today - law.last.day) * law.perDay(0.9));
  const quantile = (day: number, p: number): number => {
    let [low, high] = [law.last.km, most];
    // Bisection: a chart needs a thousandth of the height, not more.
    for (let step = 0; step < 20; step += 1) {
      const middle = (low + high) / 2;
      if (law.reachedBy(middle, day) >= 1 - p) low = middle;
      else high = middle;
    }
    return fromLaw(low);
  };
  return Array.from({ length: STEPS + 1 }, (_, step) => {
    // Closer together at first, where the drawing often ends and the fan bends most.
    const day = today + AHEAD_DAYS * (step / STEPS) ** 2;
    const at = (p: number) => quantile(day, p);
    return {
      at: day * MS_PER_DAY,
      p10: at(0.1),
      p25: at(0.25),
      p50: at(0.5),
      p75: at(0.75),
      p90: at(0.9),
    };
  });
}
