import type { ForecastChartView } from "../../application/views.ts";
import type { PlainDate } from "../../domain/calendar/plain-date.ts";
import { dateAt } from "../../domain/calendar/zone.ts";
import { likelyInDrawing } from "../date-sentence.ts";
import { amount, shorten } from "../figures.ts";
import { type Markup, markup } from "../markup.ts";
import { oneDate } from "../told-date.ts";
import type { Wording } from "../wording.ts";
import type { MarkedLine } from "./due-marks.ts";
import { CHART } from "./frame.ts";

/** A row of the key with its baseline at y. */
type Row = (y: number) => Markup;

const ROW = 16;
const BASELINE = 15;
/** Where columns stand: the mark, the words, the right edges of the figure and of the dates. */
const COLUMN = { mark: 13, words: 24, figure: 222, dates: 352 } as const;
/** Widths of a figure or a letter and of the space between two columns. */
const GLYPH = 5.6;
const GAP = 9;
const TITLE_GLYPHS = 23;
const FEWEST_TITLE_GLYPHS = 8;
const HELD_GLYPHS = 56;
const MOST_HELD = 3;

/** Rows below the plot, and how far down they reach: words have room there, and hide nothing. */
export function keyOf(
  words: Wording,
  view: ForecastChartView,
  lines: readonly MarkedLine[],
  today: PlainDate,
): { rows: Markup; height: number } {
  const untold = view.dueLines.length - lines.length;
  const rows: Row[] = [
    ...dueRows(words, lines, view, today),
    ...(untold > 0 ? [wordsRow(words.say("chart.moreDue", { count: untold }))] : []),
    ...heldRows(words, view, today),
  ];
  if (rows.length === 0) return { rows: markup``, height: CHART.foot };
  const placed = rows.map(
    (row, index) => markup`<g>${row(CHART.foot + index * ROW + BASELINE)}</g>`,
  );
  return {
    rows: markup`<path class="fc-grid" d="M8 ${CHART.foot}H${COLUMN.dates}"/>${placed}`,
    height: CHART.foot + rows.length * ROW + 8,
  };
}

/** "1  Engine oil  12,973 km  1 – 27 May"; titles give way to dates that a language writes long. */
function dueRows(
  words: Wording,
  lines: readonly MarkedLine[],
  { unit, fan }: ForecastChartView,
  today: PlainDate,
): Row[] {
  const told = lines.map(({ line, mark }) => ({
    mark,
    title: line.title,
    figure: amount(words, line.value, unit),
    range: likelyInDrawing(words, fan.length === 0 ? undefined : line, today),
  }));
  const widest = (texts: string[]) => GLYPH * Math.max(0, ...texts.map(({ length }) => length));
  const ranges = widest(told.map(({ range }) => range));
  const right = Math.min(COLUMN.figure, COLUMN.dates - ranges - GAP);
  const left = right - widest(told.map(({ figure }) => figure)) - GAP;
  const room = Math.floor((left - COLUMN.words) / GLYPH);
  const glyphs = Math.max(FEWEST_TITLE_GLYPHS, Math.min(TITLE_GLYPHS, room));
  return told.map(
    ({ mark, title, figure, range }) =>
      (y) =>
        markup`<text class="fc-number" x="${COLUMN.mark}" y="${y}" text-anchor="middle">${mark}</text><text class="fc-ink" x="${COLUMN.words}" y="${y}">${shorten(title, glyphs)}</text><text class="fc-ink" x="${Math.round(right)}" y="${y}" text-anchor="end">${figure}</text><text class="fc-ink" x="${COLUMN.dates}" y="${y}" text-anchor="end">${range}</text>`,
  );
}

function wordsRow(text: string): Row {
  return (y) => markup`<text class="fc-quiet" x="${COLUMN.words}" y="${y}">${text}</text>`;
}

/** The readings that were held last, beside the ring that stands for them. */
function heldRows(
  words: Wording,
  { readings, unit, zone }: ForecastChartView,
  today: PlainDate,
): Row[] {
  const held = readings.filter(({ status }) => status === "held").slice(-MOST_HELD);
  return held.map(({ at, value, likelierValue }) => {
    const text = heldWords(
      words,
      value,
      likelierValue,
      unit,
      oneDate(words, dateAt(at, zone), today),
    );
    return (y: number) =>
      markup`<circle class="fc-ring" cx="${COLUMN.mark}" cy="${y - 4}" r="3.5"/><text class="fc-ink" x="${COLUMN.words}" y="${y}">${shorten(text, HELD_GLYPHS)}</text>`;
  });
}

/** "held 52,310 mi, 8 April, likelier 5,231 mi" */
export function heldWords(
  words: Wording,
  value: number,
  likelierValue: number | undefined,
  unit: ForecastChartView["unit"],
  on: string,
): string {
  const told = amount(words, value, unit, 1);
  if (likelierValue === undefined) return words.say("chart.held", { value: told, on });
  const likelier = amount(words, likelierValue, unit, 1);
  return words.say("chart.heldLikelier", { value: told, on, likelier });
}
