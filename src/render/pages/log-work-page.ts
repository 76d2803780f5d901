import type { LogWorkPageView } from "../../application/page-views.ts";
import { cautionBand } from "../cautions.ts";
import { estimate } from "../figures.ts";
import { markup } from "../markup.ts";
import { meterDrawing } from "../meter-drawing.ts";
import { wordingFor } from "../wording.ts";
import { findingFields } from "./finding-fields.ts";
import { field, form } from "./form.ts";
import { closingChecks } from "./job-lists.ts";
import { page } from "./layout.ts";

/** Log the work: cautions first, then when and at what reading, what was measured, and notes. */
export function renderLogWorkPage(view: LogWorkPageView): string {
  const words = wordingFor(view.locale);
  const { machine, job, meterToday, today } = view;
  const points = job.points ?? [];
  const fields = markup`${field(words, view, {
    name: "doneOn",
    label: words.say("page.logWork.doneOn"),
    kind: "date",
    initial: today,
    max: today,
  })}
${field(words, view, {
  name: "reading",
  label: words.say("page.logWork.reading"),
  kind: "figure",
  beside: machine.meterUnit,
  hint: words.say("page.logWork.readingHint"),
})}
${
  points.length > 0 &&
  markup`<h2>${words.say("page.logWork.findings")}</h2><p class="quiet">${words.say("page.logWork.findingsHint")}</p>${points.map(
    (point) => findingFields(words, view, point),
  )}`
}
<fieldset><legend>${words.say("page.logWork.notes")}</legend>
${field(words, view, { name: "notes", label: words.say("page.logWork.note"), kind: "lines" })}</fieldset>
${closingChecks(words, job)}`;
  return page(words, {
    ...view,
    stub: words.say("page.logWork.stub"),
    title: job.title,
    content: markup`${cautionBand(words, job)}
${
  meterToday &&
  markup`<p>${words.say("machine.meterToday")} ${meterDrawing(meterToday.p50)} ${estimate(words, meterToday, machine.meterUnit)}</p>`
}
${form(words, view, fields, words.say("page.logWork.button"))}`,
  });
}
