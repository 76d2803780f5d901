import type { AddressPageView } from "../../application/page-views.ts";
import { markup } from "../markup.ts";
import { wordingFor } from "../wording.ts";
import { form } from "./form.ts";
import { page } from "./layout.ts";

/** The owner of an address says that it is theirs. */
export function renderConfirmAddressPage(view: AddressPageView): string {
  const words = wordingFor(view.locale);
  const { email, accountName: account } = view;
  return page(words, {
    ...view,
    stub: words.say("page.confirm.stub"),
    title: words.say("page.confirm.heading"),
    content: markup`<p>${words.say("page.confirm.text", { account, email })}</p>
${form(words, view, markup``, words.say("page.confirm.button"))}`,
  });
}
