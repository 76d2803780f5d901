import type { AddressPageView } from "../../application/page-views.ts";
import { markup } from "../markup.ts";
import { wordingFor } from "../wording.ts";
import { form } from "./form.ts";
import { page } from "./layout.ts";

/** Leave the mailing: one press, after which nothing is mailed. */
export function renderUnsubscribePage(view: AddressPageView): string {
  const words = wordingFor(view.locale);
  return page(words, {
    ...view,
    stub: words.say("page.unsubscribe.stub"),
    title: words.say("page.unsubscribe.heading"),
    content: markup`<p>${words.say("page.unsubscribe.text", { email: view.email })}</p>
${form(words, view, markup``, words.say("page.unsubscribe.button"))}`,
  });
}
