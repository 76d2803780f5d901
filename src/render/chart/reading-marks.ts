import { line } from "d3-shape";
import type { ForecastChartView } from "../../application/views.ts";
import { type Markup, markup } from "../markup.ts";
import { acceptedOf, CHART, type Frame } from "./frame.ts";

type Reading = ForecastChartView["readings"][number];

/** Dots that would touch their neighbours are left to the line that joins them. */
const DOT_ROOM = 5;
const RING = 3.5;

/** Readings as dots joined by a thin line; held ones as open rings with the value that is likelier. */
export function readingMarks(view: ForecastChartView, frame: Frame): Markup {
  const accepted = acceptedOf(view);
  const firstSeen = accepted.findIndex(({ at }) => at >= frame.start);
  const shown = firstSeen < 0 ? accepted.slice(-1) : accepted.slice(Math.max(0, firstSeen - 1));
  const path = line<Reading>(
    ({ at }) => frame.x(at),
    ({ value }) => frame.y(value),
  )(shown);
  const seen = shown.filter(({ at }) => at >= frame.start);
  const width = frame.x(seen.at(-1)?.at ?? frame.start) - frame.x(seen[0]?.at ?? frame.start);
  const radius = width / seen.length < DOT_ROOM && seen.length > 1 ? 1.2 : 2.4;
  // One at the very edge would be cut in half; the line passes through it all the same.
  const whole = seen.filter(({ at }) => frame.x(at) >= CHART.left + radius);
  const dots = whole.map(
    ({ at, value }) =>
      markup`<circle class="fc-dot" cx="${frame.x(at)}" cy="${frame.y(value)}" r="${radius}"/>`,
  );
  const held = view.readings.filter(({ status, at }) => status === "held" && at >= frame.start);
  return markup`<g clip-path="url(#fc-plot)"><path class="fc-line" d="${path}"/>${dots}</g>${held.map((reading) => ring(reading, frame))}`;
}

/** A held reading; one off the scale stands at its edge, with an arrow that points on. */
function ring({ at, value, likelierValue }: Reading, frame: Frame): Markup {
  const x = frame.x(at);
  const [over, under] = [value > frame.high, value < frame.low];
  const edge = over ? CHART.top + 9 : CHART.bottom - 9;
  const y = over || under ? edge : frame.y(value);
  const away = over ? -1 : 1;
  const inside =
    likelierValue !== undefined && likelierValue >= frame.low && likelierValue <= frame.high;
  return markup`${
    inside &&
    markup`<circle class="fc-likelier" cx="${x}" cy="${frame.y(likelierValue)}" r="${RING + 1.5}"/>`
  }<circle class="fc-ring" cx="${x}" cy="${y}" r="${RING}"/>${
    (over || under) &&
    markup`<path class="fc-line" d="M${x - 3} ${y + away * 5}l3 ${away * 3}l3 ${-away * 3}"/>`
  }`;
}
