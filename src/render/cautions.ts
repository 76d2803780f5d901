import type { JobView, MachineView } from "../application/views.ts";
import { type Markup, markup } from "./markup.ts";
import type { Wording } from "./wording.ts";

/** A task's cautions, and whose word prevails: they come before the work and are never folded away. */
export function cautionBand(words: Wording, job: Pick<JobView, "cautions">): Markup {
  return markup`<div class="caution"><strong>${words.say("job.cautions")}</strong>${(
    job.cautions ?? []
  ).map((caution) => markup`<p>${caution}</p>`)}<p>${words.say("job.handbook")}</p></div>`;
}

/** An open `do not ride` defect, said wherever the machine is shown; nothing where there is none. */
export function doNotRideBand(words: Wording, { doNotRide = [] }: Partial<MachineView>): Markup {
  if (doNotRide.length === 0) return markup``;
  return markup`<div class="caution"><strong>${words.say("machine.doNotRide")}</strong><p>${words.say(
    "machine.doNotRideText",
    { defects: doNotRide.join(", ") },
  )}</p></div>`;
}
