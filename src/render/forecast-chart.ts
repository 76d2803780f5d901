import { createHash } from "node:crypto";
import type { ForecastChartView } from "../application/views.ts";
import { dateAt } from "../domain/calendar/zone.ts";
import { CHART_STYLE } from "./chart/chart-style.ts";
import { dueMarks, type MarkedLine, markedLines } from "./chart/due-marks.ts";
import { CHART, type Frame, frameOf } from "./chart/frame.ts";
import { axes, fanMarks, layUpMarks } from "./chart/ground.ts";
import { chartInWords } from "./chart/in-words.ts";
import { keyOf } from "./chart/key.ts";
import { readingMarks } from "./chart/reading-marks.ts";
import { shorten } from "./figures.ts";
import { type Markup, markup, trusted } from "./markup.ts";
import { labelled } from "./phrases.ts";
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
    doNotRide.length > 0 && labelled(words, words.say("machine.doNotRide"), doNotRide.join(", "));
  const frame = frameOf(view);
  const lines = markedLines(view, frame);
  const key = keyOf(words, view, lines, today);
  return String(markup`<svg xmlns="http://www.w3.org/2000/svg" class="fc" viewBox="0 0 ${CHART.width} ${key.height}" width="100%" role="img" aria-labelledby="fc-title fc-desc">
<title id="fc-title">${words.say("chart.title", { machine: title })}</title>
<desc id="fc-desc">${warning && `${warning}. `}${chartInWords(words, view, today)}</desc>
<style>${trusted(CHART_STYLE)}</style>
<defs><pattern id="fc-hatch" width="6" height="6" patternUnits="userSpaceOnUse" patternTransform="rotate(45)"><path class="fc-hatch" d="M0 0V6"/></pattern><clipPath id="fc-plot"><rect x="${CHART.left}" y="${CHART.top}" width="${CHART.right - CHART.left}" height="${CHART.bottom - CHART.top}"/></clipPath></defs>
<rect class="fc-paper" width="${CHART.width}" height="${key.height}"/>
<text class="${warning ? "fc-warn" : "fc-name"}" x="8" y="17">${shorten(warning ? `${name}. ${warning}` : title, 48)}</text>
${view.readings.length === 0 ? empty(words) : marks(words, view, frame, lines)}
${key.rows}
</svg>
`);
}

function marks(
  words: Wording,
  view: ForecastChartView,
  frame: Frame,
  lines: readonly MarkedLine[],
): Markup {
  return markup`${fanMarks(view, frame)}
${layUpMarks(words, view, frame)}
${axes(words, view, frame)}
${dueMarks(lines, view, frame)}
${readingMarks(view, frame)}`;
}

/** Without a reading there is nothing to draw, and that is said. */
function empty(words: Wording): Markup {
  return markup`<path class="fc-axis" d="M${CHART.left} ${CHART.top}V${CHART.bottom}H${CHART.right}"/><text class="fc-ink" x="${(CHART.left + CHART.right) / 2}" y="${(CHART.top + CHART.bottom) / 2}" text-anchor="middle">${words.say("chart.noReading")}</text>`;
}
