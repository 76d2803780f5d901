import type { PostReadingPageView } from "../../application/page-views.ts";
import { amount, estimate } from "../figures.ts";
import { markup } from "../markup.ts";
import { meterDrawing } from "../meter-drawing.ts";
import { wordingFor } from "../wording.ts";
import { field, form } from "./form.ts";
import { page } from "./layout.ts";

/** Post a reading: the value with its unit beside, and a date where it was not today. */
export function renderPostReadingPage(view: PostReadingPageView): string {
  const words = wordingFor(view.locale);
  const { machine, meterToday, lastReading, today } = view;
  const unit = view.typed?.unit ?? machine.meterUnit;
  const option = (value: "km" | "mi") =>
    markup`<option value="${value}"${value === unit && markup` selected`}>${value}</option>`;
  const units = markup`<select name="unit" aria-label="${words.say("page.postReading.unit")}">${option("km")}${option("mi")}</select>`;
  const last = lastReading && {
    value: amount(words, lastReading.value, machine.meterUnit, 1),
    on: words.date(lastReading.on, "dayYear"),
  };
  const fields = markup`${field(words, view, {
    name: "value",
    label: words.say("page.postReading.value"),
    kind: "figure",
    beside: units,
    required: true,
  })}
${field(words, view, {
  name: "on",
  label: words.say("page.postReading.on"),
  kind: "date",
  hint: words.say("page.postReading.onHint"),
  max: today,
})}`;
  return page(words, {
    ...view,
    stub: words.say("page.postReading.stub"),
    title: words.say("page.postReading.heading"),
    content: markup`${
      meterToday &&
      markup`<p>${words.say("machine.meterToday")} ${meterDrawing(meterToday.p50)} ${estimate(words, meterToday, machine.meterUnit)}</p>`
    }${last && markup`<p class="quiet">${words.say("machine.lastReading", last)}</p>`}
${form(words, view, fields, words.say("page.postReading.button"))}`,
  });
}
