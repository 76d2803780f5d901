import type { JobView } from "../../application/views.ts";
import { type Markup, markup } from "../markup.ts";
import type { Wording } from "../wording.ts";

/** Closing checks, to be gone through before riding; nothing where the job names none. */
export function closingChecks(
  words: Wording,
  { closingChecks: checks = [] }: Pick<JobView, "closingChecks">,
): Markup {
  if (checks.length === 0) return markup``;
  return markup`<h2>${words.say("job.closing")}</h2><ul>${checks.map((check) => markup`<li>${check}</li>`)}</ul>`;
}
