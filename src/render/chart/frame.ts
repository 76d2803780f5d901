import { scaleLinear, scaleUtc } from "d3-scale";
import type { ForecastChartView } from "../../application/views.ts";
import { type Instant, MS_PER_DAY, type PlainDate } from "../../domain/calendar/plain-date.ts";
import { dateAt, startOfDay } from "../../domain/calendar/zone.ts";
import { monthTicks } from "../month-ticks.ts";

/** The drawing's plot, in units of which 360 make its width; right of it stand the lines' numbers. */
export const CHART = {
  width: 360,
  left: 46,
  right: 334,
  top: 46,
  bottom: 258,
  /** Down to below the dates; a key may follow. */
  foot: 284,
} as const;

/** Where times and distances lie in the drawing, and how far it reaches. */
export interface Frame {
  x(at: Instant): number;
  y(value: number): number;
  start: Instant;
  end: Instant;
  low: number;
  high: number;
  yTicks: number[];
  xTicks: PlainDate[];
}

const SHORTEST_AHEAD = 28 * MS_PER_DAY;
/** Another line is reached out for where its likely date lies within so many times the nearest's. */
const REACH = 3;
/** Readings that are shown of a machine whose readings are rare, and how far back at most for them. */
const READINGS_SHOWN = 4;
const FURTHEST_BACK = 3;
const MOST_FIGURES = 6;

/** A frame that gives what is to come a good half of the width, and never hides the last reading. */
export function frameOf(view: ForecastChartView): Frame {
  const { zone } = view;
  const end = endOf(view);
  const start = startOf(view, end);
  const { low, high } = heightOf(view, start, end);
  const xScale = scaleUtc([start, end], [CHART.left, CHART.right]);
  const yScale = scaleLinear([low, high], [CHART.bottom, CHART.top]);
  const tenth = (value: number) => Math.round(value * 10) / 10;
  const figures = [4, 3, 2].map((count) => yScale.ticks(count));
  return {
    x: (at) => tenth(xScale(at)),
    y: (value) => tenth(yScale(value)),
    ...{ start, end, low, high },
    yTicks: figures.find(({ length }) => length <= MOST_FIGURES) ?? [],
    xTicks: monthTicks(dateAt(start, zone), dateAt(end, zone)).filter(
      (date) => startOfDay(date, zone) >= start,
    ),
  };
}

export function acceptedOf({ readings }: ForecastChartView): ForecastChartView["readings"] {
  return readings.filter(({ status }) => status === "accepted");
}

/** Far enough for the nearest range of dates, and for others that are not much further. */
function endOf({ fan, dueLines, now, zone }: ForecastChartView): Instant {
  const known = fan.at(-1)?.at ?? now + SHORTEST_AHEAD;
  const ahead = (date: PlainDate | null) => (date === null ? null : startOfDay(date, zone) - now);
  const ranges = dueLines
    .map(({ to, most, from }) => ({
      likely: ahead(most ?? from) ?? Number.POSITIVE_INFINITY,
      last: ahead(to ?? most ?? from) ?? Number.POSITIVE_INFINITY,
    }))
    .filter(({ last }) => last > 0 && last !== Number.POSITIVE_INFINITY);
  const nearest = Math.min(...ranges.map(({ last }) => last));
  if (nearest === Number.POSITIVE_INFINITY) return known;
  const reach = REACH * Math.max(nearest, SHORTEST_AHEAD);
  const wanted = ranges.filter(({ likely }) => likely <= reach).map(({ last }) => last);
  return Math.min(known, now + Math.max(SHORTEST_AHEAD, 1.15 * Math.max(...wanted)));
}

/** Back as far as the drawing looks ahead, further for the last few readings and for the last one. */
function startOf(view: ForecastChartView, end: Instant): Instant {
  const { now } = view;
  const accepted = acceptedOf(view);
  const [ahead, last] = [end - now, accepted.at(-1)?.at ?? now];
  const few = accepted.slice(-READINGS_SHOWN)[0]?.at ?? now;
  const wanted = Math.min(now - ahead, Math.max(few, now - FURTHEST_BACK * ahead), last);
  const earliest = Math.min(accepted[0]?.at ?? now, now - 0.12 * ahead);
  // A little more, so that no reading is cut by the edge.
  return Math.max(wanted, earliest) - 0.015 * (end - wanted);
}

function heightOf(view: ForecastChartView, start: Instant, end: Instant) {
  const { fan, dueLines } = view;
  const accepted = acceptedOf(view);
  const seen = accepted.filter(({ at }) => at >= start);
  const beyond = fan.findIndex(({ at }) => at > end);
  const ahead = beyond < 0 ? fan : [...fan.slice(0, beyond), stepAt(fan, beyond, end)];
  const values = seen.map(({ value }) => value);
  const least = Math.min(...values, ...ahead.map(({ p10 }) => p10));
  const most = Math.max(...values, ...ahead.map(({ p90 }) => p90));
  if (!Number.isFinite(least) || !Number.isFinite(most)) return { low: 0, high: 1000 };
  const span = Math.max(most - least, 50);
  const lines = dueLines.map(({ value }) => value).filter((value) => value >= least);
  const top = Math.max(most, ...lines.filter((value) => value <= least + 1.3 * span));
  const pad = 0.06 * Math.max(top - least, span);
  return { low: Math.max(0, least - pad), high: top + pad };
}

/** The fan's outer edges where the drawing ends, between two of its steps. */
function stepAt(fan: ForecastChartView["fan"], beyond: number, end: Instant) {
  const [after, before] = [fan[beyond] as Step, (fan[beyond - 1] ?? fan[beyond]) as Step];
  const share = after.at === before.at ? 1 : (end - before.at) / (after.at - before.at);
  const edge = (of: (step: Step) => number) => of(before) + share * (of(after) - of(before));
  return { p10: edge(({ p10 }) => p10), p90: edge(({ p90 }) => p90) };
}

type Step = ForecastChartView["fan"][number];
