import type { DeferPageView } from "../../application/page-views.ts";
import { addDays } from "../../domain/calendar/plain-date.ts";
import { cautionBand } from "../cautions.ts";
import { dateSentence } from "../date-sentence.ts";
import { dueLines } from "../due-lines.ts";
import { markup } from "../markup.ts";
import { timeScale } from "../time-scale.ts";
import { timeScaleDrawing } from "../time-scale-drawing.ts";
import { wordingFor } from "../wording.ts";
import { field, form } from "./form.ts";
import { page } from "./layout.ts";

/** Defer a reminder until a date or a distance: when it falls due first, then the two fields. */
export function renderDeferPage(view: DeferPageView): string {
  const words = wordingFor(view.locale);
  const { item, machine, today } = view;
  const sentence = dateSentence(words, { item, today, meterUnit: machine.meterUnit });
  const scale = item.reachedBy ? null : timeScale(item.likely, today);
  const fields = markup`${field(words, view, {
    name: "untilOn",
    label: words.say("page.defer.untilOn"),
    kind: "date",
    min: addDays(today, 1),
  })}
${field(words, view, {
  name: "untilDistance",
  label: words.say("page.defer.untilDistance"),
  kind: "figure",
  beside: machine.meterUnit,
})}`;
  return page(words, {
    ...view,
    stub: words.say("page.defer.stub"),
    title: words.say("page.defer.heading", { job: item.title }),
    content: markup`<p><strong>${sentence}</strong><br><span class="quiet">${dueLines(words, item, machine.meterUnit).rule}</span></p>
${scale && timeScaleDrawing(words, scale, sentence)}
${cautionBand(words, item)}
<p>${words.say("page.defer.text")}</p>
${form(words, view, fields, words.say("page.defer.button"))}`,
  });
}
