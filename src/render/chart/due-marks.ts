import type { ForecastChartView } from "../../application/views.ts";
import type { PlainDate } from "../../domain/calendar/plain-date.ts";
import { noonOf } from "../../domain/calendar/zone.ts";
import { type Markup, markup } from "../markup.ts";
import { CHART, type Frame } from "./frame.ts";
import { spread } from "./spread.ts";

export type DueLine = ForecastChartView["dueLines"][number];

/** Due lines as they are drawn and told in the key; `mark` joins the two. */
export interface MarkedLine {
  line: DueLine;
  /** The number at the line's end; an arrow for one outside the drawing; empty where none is drawn. */
  mark: string;
  inside: boolean;
}

const MOST_LINES = 6;
const NUMBER_HEIGHT = 11;

/**
 * The nearest lines, those still to come before those that are passed, from the lowest up. Tasks
 * that fall due at the same figure share a number.
 */
export function markedLines({ dueLines, readings }: ForecastChartView, frame: Frame): MarkedLine[] {
  const last = readings.findLast(({ status }) => status === "accepted")?.value ?? 0;
  const byValue = [...dueLines].sort((a, b) => a.value - b.value);
  const [passed, ahead] = [
    byValue.filter(({ value }) => value <= last),
    byValue.filter(({ value }) => value > last),
  ];
  // Of those that are passed, the one passed last comes first.
  const nearest = new Set([...ahead, ...passed.reverse()].slice(0, MOST_LINES));
  const shown = byValue.filter((line) => nearest.has(line));
  const blank = readings.length === 0;
  const inside = ({ value }: DueLine) => !blank && value >= frame.low && value <= frame.high;
  const values = [...new Set(shown.filter(inside).map(({ value }) => value))];
  return shown.map((line) => {
    const arrow = line.value > frame.high ? "↑" : "↓";
    const outside = blank ? "" : arrow;
    const mark = inside(line) ? String(values.indexOf(line.value) + 1) : outside;
    return { line, mark, inside: inside(line) };
  });
}

/** Due lines across the drawing, the range of dates on each, and their numbers at the right edge. */
export function dueMarks(
  lines: readonly MarkedLine[],
  view: ForecastChartView,
  frame: Frame,
): Markup {
  const drawn = lines.filter(({ inside }) => inside);
  const ends = [...new Map(drawn.map(({ line, mark }) => [frame.y(line.value), mark]))].reverse();
  const heights = spread(
    ends.map(([y]) => y),
    NUMBER_HEIGHT,
    [CHART.top, CHART.bottom],
  );
  const numbers = ends.map(([y, mark], index) => {
    const at = Math.round((heights[index] ?? y) * 10) / 10;
    return markup`<path class="fc-due" d="M${CHART.left} ${y}H${CHART.right}L${CHART.right + 8} ${at}"/><text class="fc-number" x="${CHART.right + 10}" y="${at + 4}">${mark}</text>`;
  });
  return markup`${numbers}${drawn.map(({ line }) => range(line, view, frame))}`;
}

/** The range on its line; one that goes on beyond the drawing ends in a tip. */
function range(
  { from, to, most, value }: DueLine,
  { now, zone }: ForecastChartView,
  frame: Frame,
): Markup | null {
  if (from === null) return null;
  const y = frame.y(value);
  const place = (date: PlainDate) =>
    frame.x(Math.min(frame.end, Math.max(now, noonOf(date, zone))));
  const goesOn = to === null || noonOf(to, zone) > frame.end;
  const left = place(from);
  const right = goesOn ? CHART.right - 5 : place(to);
  if (right <= left) return null;
  const middle = most !== null && noonOf(most, zone) > now ? place(most) : CHART.right;
  return markup`<path class="fc-range" d="M${left} ${y}H${right}"/>${
    goesOn &&
    markup`<path class="fc-tip" d="M${right} ${y - 4}L${CHART.right} ${y}L${right} ${y + 4}Z"/>`
  }${middle < CHART.right - 5 && markup`<path class="fc-most" d="M${middle} ${y - 6}v12"/>`}`;
}
