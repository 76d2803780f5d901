import type { PlainDate } from "../domain/calendar/plain-date.ts";
import { type Markup, markup } from "./markup.ts";
import { tickLabel } from "./month-ticks.ts";
import type { TimeScale } from "./time-scale.ts";
import type { Wording } from "./wording.ts";

const LEFT = 8;
const WIDTH = 344;
const LINE = 46;

/** Half the width that a label takes, at 12 units a line: enough to keep it inside the drawing. */
const HALF_GLYPH = 3.4;

/**
 * The time scale as an inline drawing, coloured by the page's own properties: today's mark, the
 * 80 % band, the 50 % band in it, and the most likely date. `sentence` is what it says, in words.
 */
export function timeScaleDrawing(words: Wording, scale: TimeScale, sentence: string): Markup {
  const x = (share: number) => Math.round((LEFT + share * WIDTH) * 10) / 10;
  const [from, to] = scale.outer.map(x) as [number, number];
  const most = x(scale.most);
  const day = (date: PlainDate) => words.date(date, scale.grain);
  const [now, likeliest] = [words.say("scale.today"), day(scale.dates.most)];
  const room = Math.max(60, (now.length + likeliest.length) * HALF_GLYPH + 8);
  const near = Math.abs(most - x(scale.today)) < room;
  return markup`<svg class="scale" viewBox="0 0 360 92" role="img" aria-label="${sentence}">
<rect class="outer" x="${from}" y="26" width="${to - from}" height="20"></rect>${
    scale.inner &&
    markup`<rect class="inner" x="${x(scale.inner[0])}" y="26" width="${
      Math.round((x(scale.inner[1]) - x(scale.inner[0])) * 10) / 10
    }" height="20"></rect>`
  }
<path class="line" d="M${LEFT} ${LINE}H${LEFT + WIDTH}${scale.ticks
    .map(({ share }) => `M${x(share)} ${LINE - 4}v8`)
    .join("")}"></path>
<path class="now" d="M${x(scale.today)} ${LINE}v-16"></path><circle class="now" cx="${x(scale.today)}" cy="${LINE}" r="4.5"></circle>
<path class="most" d="M${most} ${LINE}v-28"></path>
${near ? "" : label(now, x(scale.today), 22, "ink")}
${label(likeliest, most, 14, "accent")}
${tickLabels(words, scale, x)}
${bandLabels(day(scale.dates.from), day(scale.dates.to), from, to)}
</svg>`;
}

function label(text: string, at: number, y: number, tone: string): Markup {
  const half = text.length * HALF_GLYPH;
  const x = Math.min(360 - 4 - half, Math.max(4 + half, at));
  return markup`<text class="${tone}" x="${Math.round(x * 10) / 10}" y="${y}" text-anchor="middle">${text}</text>`;
}

function tickLabels(words: Wording, { ticks }: TimeScale, x: (share: number) => number): Markup[] {
  const all = ticks.map(({ date }) => date);
  return ticks.map(({ date, share }) => label(tickLabel(words, date, all), x(share), 66, "quiet"));
}

/** The ends of the band; one below the other side's when they would touch. */
function bandLabels(from: string, to: string, left: number, right: number): Markup {
  const apart = right - left > (from.length + to.length) * HALF_GLYPH + 12;
  if (apart) return markup`${label(from, left, 84, "quiet")}${label(to, right, 84, "quiet")}`;
  return label(`${from} – ${to}`, (left + right) / 2, 84, "quiet");
}
