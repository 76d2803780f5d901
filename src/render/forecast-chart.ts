import { createHash } from "node:crypto";
import type { ForecastChartView } from "../application/views.ts";
import type { PlainDate } from "../domain/calendar/plain-date.ts";
import { dateAt } from "../domain/calendar/zone.ts";
import { CHART_STYLE } from "./chart/chart-style.ts";
import { dueMarks } from "./chart/due-marks.ts";
import { CHART, frameOf } from "./chart/frame.ts";
import { axes, fanMarks, layUpMarks } from "./chart/ground.ts";
import { readingMarks } from "./chart/reading-marks.ts";
import { likelyInShort } from "./date-sentence.ts";
import { amount, shorten } from "./figures.ts";
import { type Markup, markup, trusted } from "./markup.ts";
import { type Wording, wordingFor } from "./wording.ts";

/** What a content security policy calls the drawing's style, where it is opened by itself. */
export const CHART_STYLE_HASH = `sha256-${createHash("sha256").update(CHART_STYLE).digest("base64")}`;

/**
 * Readings, fan and due lines of one machine as SVG without any script. It reads at 360 px, in light
 * and dark, and its description says in words what it shows.
 */
export function renderForecastChart(view: ForecastChartView): string {
  const words = wordingFor(view.locale);
  const today = dateAt(view.now, view.zone);
  const { name, group, doNotRide = [] } = view.machine;
  const title = [name, group].filter(Boolean).join(" · ");
  const warning =
    doNotRide.length > 0 && `${words.say("machine.doNotRide")}: ${doNotRide.join(", ")}`;
  return String(markup`<svg xmlns="http://www.w3.org/2000/svg" class="fc" viewBox="0 0 ${CHART.width} ${CHART.height}" width="100%" role="img" aria-labelledby="fc-title fc-desc">
<title id="fc-title">${words.say("chart.title", { machine: title })}</title>
<desc id="fc-desc">${warning && `${warning}. `}${description(words, view, today)}</desc>
<style>${trusted(CHART_STYLE)}</style>
<defs><pattern id="fc-hatch" width="6" height="6" patternUnits="userSpaceOnUse" patternTransform="rotate(45)"><path class="fc-hatch" d="M0 0V6"/></pattern><clipPath id="fc-plot"><rect x="${CHART.left}" y="${CHART.top}" width="${CHART.right - CHART.left}" height="${CHART.bottom - CHART.top}"/></clipPath></defs>
<rect class="fc-paper" width="${CHART.width}" height="${CHART.height}"/>
<text class="${warning ? "fc-warn" : "fc-name"}" x="8" y="17">${shorten(warning ? `${name}. ${warning}` : title, 50)}</text>
${view.readings.length === 0 ? empty(words) : marks(words, view, today)}
</svg>
`);
}

function marks(words: Wording, view: ForecastChartView, today: PlainDate): Markup {
  const frame = frameOf(view);
  return markup`${fanMarks(view, frame)}
${layUpMarks(words, view, frame)}
${axes(words, view, frame)}
${readingMarks(words, view, frame)}
${dueMarks(words, view, frame, today)}`;
}

/** Without a reading there is nothing to draw, and that is said. */
function empty(words: Wording): Markup {
  return markup`<path class="fc-axis" d="M${CHART.left} ${CHART.top}V${CHART.bottom}H${CHART.right}"/><text class="fc-ink" x="${(CHART.left + CHART.right) / 2}" y="${(CHART.top + CHART.bottom) / 2}" text-anchor="middle">${words.say("chart.noReading")}</text>`;
}

/** What the drawing shows, in words. */
function description(words: Wording, view: ForecastChartView, today: PlainDate): string {
  const { readings, dueLines, unit, zone } = view;
  const last = readings.findLast(({ status }) => status === "accepted");
  const day = (at: number) => words.date(dateAt(at, zone), "dayYear");
  const sentences = [
    last
      ? words.say("chart.lastReading", {
          value: amount(words, last.value, unit, 1),
          on: day(last.at),
        })
      : words.say("chart.noReading"),
    ...dueLines.map((line) =>
      words.say("chart.dueAt", {
        title: line.title,
        distance: amount(words, line.value, unit),
        range: likelyInShort(words, line, today),
      }),
    ),
    ...readings
      .filter(({ status }) => status === "held")
      .map(
        ({ at, value }) =>
          `${words.say("chart.heldValue", { value: amount(words, value, unit, 1) })}, ${day(at)}.`,
      ),
  ];
  return sentences.join(" ");
}
