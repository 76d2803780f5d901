import { line } from "d3-shape";
import type { ForecastChartView } from "../../application/views.ts";
import { amount } from "../figures.ts";
import { type Markup, markup } from "../markup.ts";
import type { Wording } from "../wording.ts";
import { CHART, type Frame } from "./frame.ts";

type Reading = ForecastChartView["readings"][number];

/** Readings as dots joined by a thin line; held ones as open rings with the value that is likelier. */
export function readingMarks(words: Wording, view: ForecastChartView, frame: Frame): Markup {
  const accepted = view.readings.filter(({ status }) => status === "accepted");
  const firstSeen = accepted.findIndex(({ at }) => at >= frame.start);
  const shown = firstSeen < 0 ? accepted.slice(-1) : accepted.slice(Math.max(0, firstSeen - 1));
  const path = line<Reading>(
    ({ at }) => frame.x(at),
    ({ value }) => frame.y(value),
  )(shown);
  // Many dots would run into a band: then the line alone tells enough.
  const radius = shown.length > 60 ? 1.2 : 2.4;
  const dots = shown
    .filter(({ at }) => at >= frame.start)
    .map(
      ({ at, value }) =>
        markup`<circle class="fc-dot" cx="${frame.x(at)}" cy="${frame.y(value)}" r="${radius}"/>`,
    );
  const held = view.readings.filter(({ status, at }) => status === "held" && at >= frame.start);
  return markup`<g clip-path="url(#fc-plot)"><path class="fc-line" d="${path}"/>${dots}</g>${held.map((reading) => ring(words, reading, view, frame))}`;
}

/** A held reading; one far off the scale stands at its edge, with its figure. */
function ring(words: Wording, reading: Reading, { unit }: ForecastChartView, frame: Frame): Markup {
  const { at, value, likelierValue } = reading;
  const x = frame.x(at);
  const inside = (wanted: number) => wanted >= frame.low && wanted <= frame.high;
  const y = Math.min(CHART.bottom - 5, Math.max(CHART.top + 5, frame.y(value)));
  const told = amount(words, value, unit, 1);
  const text =
    likelierValue === undefined
      ? words.say("chart.heldValue", { value: told })
      : words.say("chart.likelier", {
          value: told,
          likelier: amount(words, likelierValue, unit, 1),
        });
  const left = x > (CHART.left + CHART.right) / 2;
  // In the lower half the label stands below the ring, where rising readings leave room.
  const labelY = y > (CHART.top + CHART.bottom) / 2 ? Math.min(y + 14, CHART.bottom - 4) : y + 4;
  return markup`<circle class="fc-ring" cx="${x}" cy="${y}" r="3.5"/>${
    likelierValue !== undefined &&
    inside(likelierValue) &&
    markup`<circle class="fc-likelier" cx="${x}" cy="${frame.y(likelierValue)}" r="3.5"/>`
  }<text class="fc-ink fc-halo" x="${left ? x - 7 : x + 7}" y="${labelY}" text-anchor="${left ? "end" : "start"}">${text}</text>`;
}
