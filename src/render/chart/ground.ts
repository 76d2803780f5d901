import { area, line } from "d3-shape";
import type { ForecastChartView } from "../../application/views.ts";
import { startOfDay } from "../../domain/calendar/zone.ts";
import { type Markup, markup } from "../markup.ts";
import { tickLabel } from "../month-ticks.ts";
import type { Wording } from "../wording.ts";
import { acceptedOf, CHART, type Frame } from "./frame.ts";

type Step = ForecastChartView["fan"][number];

/** Half the width of a letter, about. */
const HALF_GLYPH = 3;

/**
 * The fan in two bands, and its middle. It opens at the last reading: what was ridden from there
 * until today is as uncertain as what is to come.
 */
export function fanMarks(view: ForecastChartView, frame: Frame): Markup {
  const last = acceptedOf(view).at(-1);
  const fan = last ? [certain(last), ...view.fan] : view.fan;
  const x = ({ at }: Step) => frame.x(at);
  const band = (low: (step: Step) => number, high: (step: Step) => number) =>
    area<Step>()
      .x(x)
      .y0((step) => frame.y(low(step)))
      .y1((step) => frame.y(high(step)))([...fan]);
  const middle = line<Step>(x, ({ p50 }) => frame.y(p50))([...fan]);
  if (view.fan.length < 2) return markup``;
  return markup`<g clip-path="url(#fc-plot)"><path class="fc-outer" d="${band(
    ({ p10 }) => p10,
    ({ p90 }) => p90,
  )}"/><path class="fc-inner" d="${band(
    ({ p25 }) => p25,
    ({ p75 }) => p75,
  )}"/><path class="fc-middle" d="${middle}"/></g>`;
}

function certain({ at, value }: ForecastChartView["readings"][number]): Step {
  return { at, p10: value, p25: value, p50: value, p75: value, p90: value };
}

/** Lay-ups as hatched columns, named where the name fits. */
export function layUpMarks(
  words: Wording,
  { layUps, zone }: ForecastChartView,
  frame: Frame,
): Markup {
  const named = words.say("chart.laidUp");
  const columns = layUps.flatMap(({ from, to }) => {
    const begin = Math.max(frame.start, startOfDay(from, zone));
    const finish = to === null ? frame.end : Math.min(frame.end, startOfDay(to, zone));
    if (finish <= begin) return [];
    const [left, right] = [frame.x(begin), frame.x(finish)];
    const width = Math.round((right - left) * 10) / 10;
    return [
      markup`<rect class="fc-laid" x="${left}" y="${CHART.top}" width="${width}" height="${CHART.bottom - CHART.top}"/>${
        width > 2 * HALF_GLYPH * named.length - 2 &&
        markup`<text class="fc-ink fc-halo" x="${Math.round((left + right) / 2)}" y="${CHART.bottom - 5}" text-anchor="middle">${named}</text>`
      }`,
    ];
  });
  return markup`${columns}`;
}

/** Axes with few ticks; the unit is said once, above the figures. */
export function axes(words: Wording, view: ForecastChartView, frame: Frame): Markup {
  const { unit, now, zone } = view;
  const nowX = frame.x(now);
  const today = words.say("scale.today");
  const half = today.length * HALF_GLYPH;
  // Clear of the unit at its left, and inside the drawing at its right.
  const todayX = Math.min(CHART.right - 1 - half, Math.max(CHART.left + 6 + half, nowX));
  const figures = frame.yTicks.map(
    (value) =>
      markup`<path class="fc-grid" d="M${CHART.left} ${frame.y(value)}H${CHART.right}"/><text class="fc-quiet" x="${CHART.left - 5}" y="${frame.y(value) + 4}" text-anchor="end">${words.number(value)}</text>`,
  );
  const dates = frame.xTicks.map((date) => {
    const x = frame.x(startOfDay(date, zone));
    const middle = Math.min(CHART.right - 10, Math.max(CHART.left + 8, x));
    return markup`<path class="fc-axis" d="M${x} ${CHART.bottom}v5"/><text class="fc-quiet" x="${middle}" y="${CHART.bottom + 17}" text-anchor="middle">${tickLabel(words, date, frame.xTicks)}</text>`;
  });
  return markup`${figures}<text class="fc-quiet" x="${CHART.left - 5}" y="${CHART.top - 8}" text-anchor="end">${unit}</text>${dates}<path class="fc-axis" d="M${CHART.left} ${CHART.bottom}H${CHART.right}"/><path class="fc-now" d="M${nowX} ${CHART.top - 2}V${CHART.bottom}"/><text class="fc-ink" x="${todayX}" y="${CHART.top - 8}" text-anchor="middle">${today}</text>`;
}
