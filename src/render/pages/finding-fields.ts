import type { LogWorkPageView } from "../../application/page-views.ts";
import type { PointView } from "../../application/views.ts";
import { leaves, limits } from "../figures.ts";
import { type Markup, markup } from "../markup.ts";
import type { Wording } from "../wording.ts";
import { choice, field } from "./form.ts";

type Point = PointView & { key: string };

/** The fields of one measuring point: as found, as left where it was adjusted, and a note. */
export function findingFields(words: Wording, view: LogWorkPageView, point: Point): Markup {
  const tries = leaves(words, point);
  const kept = Object.entries(view.typed ?? {}).some(
    ([name, value]) => name.startsWith(`left.${point.key}.`) && value !== "",
  );
  return markup`<fieldset><legend>${point.name}</legend>
<p class="quiet small">${words.say("page.logWork.limits", { limits: limits(words, point) })}${tries && ` ${words.say("page.logWork.leaves", { leaves: tries })}`}</p>
${measurement(words, view, point, `found.${point.key}`)}
${
  point.method !== "look" &&
  choice(view, {
    name: `found.${point.key}.stated`,
    value: "yes",
    label: words.say("page.logWork.stated"),
    kind: "checkbox",
  })
}
<details${kept && markup` open`}><summary>${words.say("page.logWork.asLeft")}</summary>
${measurement(words, view, point, `left.${point.key}`)}
${field(words, view, { name: `note.${point.key}`, label: words.say("page.logWork.note"), kind: "text" })}</details>
</fieldset>`;
}

function measurement(words: Wording, view: LogWorkPageView, point: Point, prefix: string): Markup {
  const unit = point.unit ?? "mm";
  const figure = (name: "goes" | "refuses" | "value") =>
    field(words, view, {
      name: `${prefix}.${name}`,
      label: words.say(`page.logWork.${name}`),
      kind: "figure",
      beside: unit,
    });
  if (point.method === "feeler")
    return markup`<div class="pair">${figure("goes")}${figure("refuses")}</div>`;
  if (point.method === "value") return figure("value");
  const answers = ["none", "sound", "watch", "replace"] as const;
  return markup`<fieldset><legend class="quiet small">${words.say("page.logWork.look")}</legend><div class="pair">${answers.map(
    (answer) =>
      choice(view, {
        name: `${prefix}.look`,
        value: answer === "none" ? "" : answer,
        label: words.say(`look.${answer}`),
        kind: "radio",
        initial: answer === "none",
      }),
  )}</div></fieldset>`;
}
