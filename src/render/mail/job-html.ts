import type { ReminderItemView, ReminderMachineView } from "../../application/views.ts";
import type { PlainDate } from "../../domain/calendar/plain-date.ts";
import { dateSentence } from "../date-sentence.ts";
import { dueLines } from "../due-lines.ts";
import { leaves, limits } from "../figures.ts";
import { type Markup, markup } from "../markup.ts";
import { timeScale } from "../time-scale.ts";
import type { Wording } from "../wording.ts";
import { band, button } from "./html-parts.ts";
import { jobRows } from "./job-rows.ts";
import { STYLE } from "./mail-style.ts";
import { scaleTable } from "./scale-table.ts";

export interface JobFrame {
  machine: ReminderMachineView;
  today: PlainDate;
  zone: string;
  heading: Markup;
  /** Whether all that the job needs is shown, or only what must never be left out. */
  full: boolean;
  alone: boolean;
  /** What stands between the date and the cautions: the machine's meter, where the job is alone. */
  aside?: Markup;
}

/** One job: the date sentence first, cautions before the work, then what to measure and to have. */
export function jobHtml(words: Wording, item: ReminderItemView, frame: JobFrame): Markup {
  const { machine, today, zone, full } = frame;
  const { rule, more } = dueLines(words, item, machine.meterUnit);
  const sentence = dateSentence(words, { item, today, zone, meterUnit: machine.meterUnit });
  const reached = item.reachedBy === "reading" || item.reachedBy === "calendar";
  const scale = full && !reached ? timeScale(item.likely, today) : null;
  // Where several jobs follow one another, whose word prevails is said once, above them all.
  const cautions = [...(item.cautions ?? []), ...(frame.alone ? [words.say("job.handbook")] : [])];
  return markup`${frame.heading}
<p style="${STYLE.p}"><strong>${sentence}</strong><br><span class="quiet" style="${STYLE.quiet}">${rule}</span></p>
${scale && scaleTable(words, scale)}${frame.aside}
${cautions.length > 0 && band(words.say("job.cautions"), cautions)}
${full && detail(words, item, more)}
<p style="${STYLE.p}">${button(words.say("mail.logWork"), item.links.logWork)}${button(
    words.say("mail.defer"),
    item.links.defer,
  )}</p>`;
}

function detail(words: Wording, item: ReminderItemView, more: string[]): Markup {
  const steps = item.steps ?? [];
  const checks = item.closingChecks ?? [];
  return markup`${pointTable(words, item)}${rowTable(words, item)}
${steps.length > 0 && list(words.say("job.steps"), steps, "ol")}
${checks.length > 0 && list(words.say("job.closing"), checks, "ul")}
${more.map((line) => markup`<p class="quiet" style="${STYLE.small}">${line}</p>`)}`;
}

function pointTable(words: Wording, { points = [] }: ReminderItemView): Markup | null {
  if (points.length === 0) return null;
  const withLeaves = points.some((point) => leaves(words, point) !== "");
  const limit = `${STYLE.right}${withLeaves ? ";padding-right:8px" : ""}`;
  const head = (text: string, right = "") =>
    markup`<th scope="col" class="quiet rule" style="${STYLE.th};${right}">${text}</th>`;
  return markup`<table style="${STYLE.table}"><thead><tr>${head(words.say("job.point"))}${head(
    words.say("job.limits"),
    limit,
  )}${withLeaves && head(words.say("job.leaves"), STYLE.right)}</tr></thead><tbody>${points.map(
    (point) =>
      markup`<tr><th scope="row" class="hair" style="${STYLE.td}">${point.name}</th><td class="hair" style="${STYLE.td};${limit};white-space:nowrap">${limits(words, point)}</td>${
        withLeaves &&
        markup`<td class="hair" style="${STYLE.td};${STYLE.right}">${leaves(words, point)}</td>`
      }</tr>`,
  )}</tbody></table>`;
}

function rowTable(words: Wording, item: ReminderItemView): Markup | null {
  const rows = jobRows(words, item);
  if (rows.length === 0) return null;
  return markup`<table style="${STYLE.table}"><tbody>${rows.map(
    ({ name, lines }) =>
      markup`<tr><th scope="row" class="quiet hair" style="${STYLE.td};color:inherit;width:30%;padding-right:10px">${name}</th><td class="hair" style="${STYLE.td}">${lines.map(
        (line, index) => markup`${index > 0 && markup`<br>`}${line}`,
      )}</td></tr>`,
  )}</tbody></table>`;
}

function list(title: string, lines: readonly string[], kind: "ol" | "ul"): Markup {
  const items = lines.map((line) => markup`<li>${line}</li>`);
  const style = STYLE.list;
  return markup`<p style="margin:0"><strong>${title}</strong></p>${
    kind === "ol"
      ? markup`<ol style="${style}">${items}</ol>`
      : markup`<ul style="${style}">${items}</ul>`
  }`;
}
