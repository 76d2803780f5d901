import { type Markup, markup } from "../markup.ts";
import type { TimeScale } from "../time-scale.ts";
import type { Wording } from "../wording.ts";
import { STYLE } from "./mail-style.ts";

type Kind = "none" | "outer" | "inner";

/**
 * The time scale drawn by table cells, since mail programs show neither inline drawings nor images
 * unasked. It only repeats the date sentence, so readers of the screen pass it over.
 */
export function scaleTable(words: Wording, scale: TimeScale): Markup {
  const { dates, grain } = scale;
  const [from, to] = words.ends(dates.from, dates.to, grain);
  const most = words.date(dates.most, grain);
  return markup`<div aria-hidden="true" style="margin:8px 0 16px">
${above(words.say("scale.today"), most, scale.most)}
<table role="presentation" style="${STYLE.scale}"><tr>${bar(scale)}</tr></table>
${below(dates.from === dates.to ? to : `${from} – ${to}`, scale.outer)}
</div>`;
}

function bar(scale: TimeScale): Markup[] {
  const bounds = [0, scale.today, ...scale.outer, ...(scale.inner ?? []), scale.most, 1];
  const edges = [...new Set(bounds)].sort((a, b) => a - b);
  const cells: Markup[] = [];
  for (const [index, edge] of edges.entries()) {
    if (edge === scale.today) cells.push(mark("now"));
    if (edge === scale.most) cells.push(mark("most"));
    const next = edges[index + 1];
    if (next !== undefined) cells.push(cell(kindAt((edge + next) / 2, scale), next - edge));
  }
  return cells;
}

function kindAt(share: number, { outer, inner }: TimeScale): Kind {
  if (inner && share > inner[0] && share < inner[1]) return "inner";
  return share > outer[0] && share < outer[1] ? "outer" : "none";
}

function cell(kind: Kind, share: number): Markup {
  const ground = kind === "none" ? "" : STYLE[kind];
  return markup`<td class="${kind} rule" style="${ground}${STYLE.axis}width:${percent(share)};height:20px;padding:0;font-size:1px;line-height:1px">&nbsp;</td>`;
}

function mark(kind: "now" | "most"): Markup {
  return markup`<td class="${kind}" style="${STYLE[kind]}width:3px;height:20px;padding:0;font-size:1px;line-height:1px">&nbsp;</td>`;
}

/** Today at the left, the most likely date over its mark, on the side that has room for it. */
function above(today: string, most: string, share: number): Markup {
  const now = share > 0.3 ? today : "";
  if (share > 0.55) {
    return row(
      markup`<td style="width:25%;padding:0">${now}</td><td class="link" style="${STYLE.link};width:${percent(share - 0.25)};padding:0;text-align:right;font-weight:600">${most}</td><td style="padding:0">&nbsp;</td>`,
    );
  }
  return row(
    markup`<td style="width:${percent(share)};padding:0">${now}</td><td class="link" style="${STYLE.link};padding:0;font-weight:600">${most}</td>`,
  );
}

function below(range: string, [from, to]: [number, number]): Markup {
  if (from > 0.5) {
    return row(
      markup`<td class="quiet" style="width:${percent(to)};padding:0;text-align:right">${range}</td><td style="padding:0">&nbsp;</td>`,
    );
  }
  return row(
    markup`<td style="width:${percent(from)};padding:0">&nbsp;</td><td class="quiet" style="padding:0">${range}</td>`,
  );
}

function row(cells: Markup): Markup {
  return markup`<table role="presentation" style="${STYLE.scale}"><tr>${cells}</tr></table>`;
}

function percent(share: number): string {
  return `${Math.round(share * 1000) / 10}%`;
}
