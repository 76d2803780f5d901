import { scaleLinear, scaleUtc } from "d3-scale";
import type { ForecastChartView } from "../../application/views.ts";
import { type Instant, MS_PER_DAY, type PlainDate } from "../../domain/calendar/plain-date.ts";
import { dateAt, startOfDay } from "../../domain/calendar/zone.ts";
import { monthTicks } from "../month-ticks.ts";

export const CHART = {
  width: 360,
  height: 288,
  left: 46,
  right: 350,
  top: 46,
  bottom: 258,
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

const SHORTEST_AHEAD = 60 * MS_PER_DAY;
/** Due lines that the drawing reaches out for; the rest are drawn where they happen to lie in it. */
const REACH_FOR = 3;

/** A frame that gives what is to come a good half of the width. */
export function frameOf(view: ForecastChartView): Frame {
  const { now, zone } = view;
  const end = endOf(view);
  const accepted = view.readings.filter(({ status }) => status === "accepted");
  const earliest = accepted[0]?.at ?? now;
  const start = Math.max(
    Math.min(earliest, now - 14 * MS_PER_DAY),
    now - Math.max(120 * MS_PER_DAY, 1.2 * (end - now)),
  );
  const { low, high } = heightOf(view, start, end);
  const xScale = scaleUtc([start, end], [CHART.left, CHART.right]);
  const yScale = scaleLinear([low, high], [CHART.bottom, CHART.top]);
  const tenth = (value: number) => Math.round(value * 10) / 10;
  return {
    x: (at) => tenth(xScale(at)),
    y: (value) => tenth(yScale(value)),
    ...{ start, end, low, high },
    yTicks: yScale.ticks(4),
    xTicks: monthTicks(dateAt(start, zone), dateAt(end, zone)).filter(
      (date) => startOfDay(date, zone) >= start,
    ),
  };
}

function endOf({ fan, dueLines, now, zone }: ForecastChartView): Instant {
  const known = fan.at(-1)?.at ?? now + SHORTEST_AHEAD;
  const wanted = dueLines
    .flatMap(({ to, most, from }) => to ?? most ?? from ?? [])
    .sort()
    .slice(0, REACH_FOR)
    .map((date) => now + 1.15 * (startOfDay(date, zone) - now));
  if (wanted.length === 0) return known;
  return Math.min(known, Math.max(now + SHORTEST_AHEAD, ...wanted));
}

function heightOf(view: ForecastChartView, start: Instant, end: Instant) {
  const { readings, fan, dueLines } = view;
  const accepted = readings.filter(({ status }) => status === "accepted");
  const before = accepted.findLast(({ at }) => at < start);
  const seen = accepted.filter(({ at }) => at >= start);
  const ahead = fan.filter(({ at }) => at <= end);
  const values = [before, ...seen].flatMap((one) => one?.value ?? []);
  const least = Math.min(...values, ...ahead.map(({ p10 }) => p10));
  const most = Math.max(...values, ...ahead.map(({ p90 }) => p90));
  if (!Number.isFinite(least) || !Number.isFinite(most)) return { low: 0, high: 1000 };
  const span = Math.max(most - least, 50);
  const lines = dueLines.map(({ value }) => value).filter((value) => value >= least);
  const top = Math.max(most, ...lines.filter((value) => value <= least + 1.6 * span));
  const pad = 0.08 * Math.max(top - least, span);
  return { low: Math.max(0, least - pad), high: top + 1.6 * pad };
}
