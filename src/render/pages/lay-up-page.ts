import type { LayUpPageView } from "../../application/page-views.ts";
import { addDays } from "../../domain/calendar/plain-date.ts";
import { markup } from "../markup.ts";
import { oneDate } from "../told-date.ts";
import { wordingFor } from "../wording.ts";
import { field, form } from "./form.ts";
import { page } from "./layout.ts";

/** Start a lay-up; where one runs, say from when on the machine is used again. */
export function renderLayUpPage(view: LayUpPageView): string {
  const words = wordingFor(view.locale);
  const { machine, today, running } = view;
  const to = { name: "to", label: words.say("page.layUp.to"), kind: "date" } as const;
  if (running) {
    const since = oneDate(words, running.from, today);
    const min = addDays(running.from, 1);
    const initial = running.to ?? (running.from < today ? today : min);
    return page(words, {
      ...view,
      stub: words.say("page.layUp.stub"),
      title: words.say("page.layUp.endHeading", { machine: machine.name }),
      content: markup`<p>${words.say("page.layUp.since", { from: since })}${running.reason && markup`<br><span class="quiet">${running.reason}</span>`}</p>
<p>${words.say("page.layUp.endText")}</p>
${form(words, view, field(words, view, { ...to, min, required: true, initial }), words.say("page.layUp.endButton"))}`,
    });
  }
  const fields = markup`${field(words, view, {
    name: "from",
    label: words.say("page.layUp.from"),
    kind: "date",
    required: true,
    initial: today,
  })}
${field(words, view, { ...to, hint: words.say("page.layUp.toHint") })}
${field(words, view, { name: "reason", label: words.say("page.layUp.reason"), kind: "text" })}`;
  return page(words, {
    ...view,
    stub: words.say("page.layUp.stub"),
    title: words.say("page.layUp.startHeading", { machine: machine.name }),
    content: markup`<p>${words.say("page.layUp.startText")}</p>
${form(words, view, fields, words.say("page.layUp.startButton"))}`,
  });
}
