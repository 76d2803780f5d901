import type { FaultPageView } from "../../application/page-views.ts";
import { markup } from "../markup.ts";
import { wordingFor } from "../wording.ts";
import { page } from "./layout.ts";

/** What did not work, and what to do; that nothing was changed is always said. */
export function renderFaultPage(view: FaultPageView): string {
  const words = wordingFor(view.locale);
  return page(words, {
    ...view,
    stub: words.say("page.fault.stub"),
    title: words.say(`page.fault.${view.code}`),
    content: markup`<p>${words.say(`page.fault.${view.code}Text`)}</p>
${view.requestId && markup`<p class="quiet small">${words.say("page.fault.request", { id: view.requestId })}</p>`}`,
  });
}
