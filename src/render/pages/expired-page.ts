import type { ExpiredPageView } from "../../application/page-views.ts";
import { markup } from "../markup.ts";
import { wordingFor } from "../wording.ts";
import { form } from "./form.ts";
import { page } from "./layout.ts";

/** The link was good once: a fresh one can be mailed to the address that it went to. */
export function renderExpiredPage(view: ExpiredPageView): string {
  const words = wordingFor(view.locale);
  return page(words, {
    ...view,
    stub: words.say("page.expired.stub"),
    title: words.say("page.expired.heading"),
    content: markup`<p>${words.say("page.expired.text")}</p>
${form(words, view, markup``, words.say("page.expired.button"))}`,
  });
}
