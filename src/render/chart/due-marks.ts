import type { ForecastChartView } from "../../application/views.ts";
import type { PlainDate } from "../../domain/calendar/plain-date.ts";
import { noonOf } from "../../domain/calendar/zone.ts";
import { likelyInDrawing } from "../date-sentence.ts";
import { amount, shorten } from "../figures.ts";
import { type Markup, markup } from "../markup.ts";
import type { Wording } from "../wording.ts";
import { CHART, type Frame } from "./frame.ts";

type DueLine = ForecastChartView["dueLines"][number];

const MOST_LABELS = 5;
const LINE_HEIGHT = 13;
const MOST_GLYPHS = 50;

/**
 * Due lines across the drawing with their labels at the left edge: readings only rise, so that above
 * a line there the ground is free. The range of dates is marked on the line itself.
 */
export function dueMarks(
  words: Wording,
  view: ForecastChartView,
  frame: Frame,
  today: PlainDate,
): Markup {
  const groups = grouped(view.dueLines).filter(
    ([line]) => line.value >= frame.low && line.value <= frame.high,
  );
  const shown = groups.slice(0, MOST_LABELS);
  const heights = labelHeights(shown.map(([line]) => frame.y(line.value)));
  const labels = shown.map((group, index) => {
    // Past the top there is no room: the description still tells of the task.
    const y = heights[index] ?? 0;
    if (y < CHART.top + 8) return null;
    const text = labelOf(words, group, view, today);
    return markup`<text class="fc-ink fc-halo" x="${CHART.left + 4}" y="${y}">${text}</text>`;
  });
  const lines = shown.map(([line]) => {
    const y = frame.y(line.value);
    return markup`<path class="fc-due" d="M${CHART.left} ${y}H${CHART.right}"/>${range(line, view, frame, y)}`;
  });
  return markup`${lines}${labels}`;
}

/**
 * Where the labels of lines stand, lines from the lowest up: each above its line, and those of lines
 * too close together stacked above the highest of them, so that no line runs through a label.
 */
function labelHeights(lines: readonly number[]): number[] {
  const clusters: number[][] = [];
  for (const y of lines) {
    const open = clusters.at(-1);
    const top = open && stackTop(open);
    if (open && top !== undefined && y > top) open.push(y);
    else clusters.push([y]);
  }
  return clusters.flatMap((cluster) => {
    const highest = Math.min(...cluster);
    return cluster.map((_, index) => highest - 4 - index * LINE_HEIGHT);
  });
}

function stackTop(cluster: readonly number[]): number {
  return Math.min(...cluster) - 4 - cluster.length * LINE_HEIGHT;
}

/** Tasks that fall due at the same figure share a line, the nearest figure first. */
function grouped(lines: readonly DueLine[]): Array<[DueLine, ...DueLine[]]> {
  const groups = new Map<number, [DueLine, ...DueLine[]]>();
  for (const line of [...lines].sort((a, b) => a.value - b.value)) {
    const group = groups.get(line.value);
    if (group) group.push(line);
    else groups.set(line.value, [line]);
  }
  return [...groups.values()];
}

function labelOf(
  words: Wording,
  [line, ...others]: [DueLine, ...DueLine[]],
  { unit }: ForecastChartView,
  today: PlainDate,
): string {
  const rest = `, ${amount(words, line.value, unit)}, ${likelyInDrawing(words, line, today)}`;
  const more = (title: string) =>
    others.length === 0 ? title : words.say("chart.more", { title, count: others.length });
  const room = MOST_GLYPHS - rest.length - more("").length;
  return `${more(shorten(line.title, Math.max(8, room)))}${rest}`;
}

function range(
  { from, to, most }: DueLine,
  { now, zone }: ForecastChartView,
  frame: Frame,
  at: number,
): Markup | null {
  if (from === null) return null;
  const place = (date: PlainDate) =>
    frame.x(Math.min(frame.end, Math.max(now, noonOf(date, zone))));
  const [left, right] = [place(from), to === null ? CHART.right : place(to)];
  if (right <= left) return null;
  const inside = most !== null && noonOf(most, zone) <= frame.end;
  return markup`<path class="fc-range" d="M${left} ${at}H${right}"/>${inside && markup`<path class="fc-most" d="M${place(most)} ${at - 7}v14"/>`}`;
}
