import type { FormView } from "../../application/page-views.ts";
import { type Markup, markup } from "../markup.ts";
import type { Wording } from "../wording.ts";

export interface FieldParts {
  name: string;
  label: string;
  kind: "figure" | "date" | "lines" | "text";
  hint?: string;
  /** Stands beside the field: a unit, or the choice of one. */
  beside?: string | Markup;
  required?: boolean;
  /** What stands in it unless something was typed. */
  initial?: string;
  max?: string;
  min?: string;
}

/** A form that posts to its own path, with what was typed kept and each fault below its field. */
export function form(words: Wording, view: FormView, fields: Markup, button: string): Markup {
  const faults = view.faults ?? [];
  return markup`${
    faults.length > 0 &&
    markup`<div class="faults" role="alert"><p class="fault">${words.say("page.faultsFound", { count: faults.length })}</p></div>`
  }
<form method="post" action="${view.action}" autocomplete="off">
<input type="hidden" name="nonce" value="${view.nonce}">
${fields}
<p><button class="button" type="submit">${button}</button></p>
</form>`;
}

/** Label above, unit beside, fault below. */
export function field(words: Wording, view: FormView, parts: FieldParts): Markup {
  const { name, label, hint, beside } = parts;
  const id = idOf(name);
  const faults = (view.faults ?? []).filter((one) => one.field === name);
  const described = [hint && `${id}-hint`, faults.length > 0 && `${id}-fault`]
    .filter(Boolean)
    .join(" ");
  return markup`<div class="field"><label for="${id}">${label}</label>
<div class="row">${control(view, parts, id, described, faults.length > 0)}${beside !== undefined && markup`<span>${beside}</span>`}</div>
${hint && markup`<div class="quiet small" id="${id}-hint">${hint}</div>`}
${
  faults.length > 0 &&
  markup`<div class="fault" id="${id}-fault">${faults.map(({ code }) => words.say(`fault.${code}`)).join(" ")}</div>`
}</div>`;
}

function control(
  view: FormView,
  { name, kind, initial, min, max, required }: FieldParts,
  id: string,
  described: string,
  faulty: boolean,
): Markup {
  const value = view.typed?.[name] ?? initial ?? "";
  const common = markup`${described && markup` aria-describedby="${described}"`}${faulty && markup` aria-invalid="true"`}${required && markup` required`}`;
  if (kind === "lines") {
    return markup`<textarea id="${id}" name="${name}" rows="3"${common}>${value}</textarea>`;
  }
  if (kind === "date") {
    return markup`<input id="${id}" name="${name}" type="date" value="${value}"${min && markup` min="${min}"`}${max && markup` max="${max}"`}${common}>`;
  }
  const figure = kind === "figure" && markup` class="figure" inputmode="decimal"`;
  return markup`<input id="${id}" name="${name}" type="text" value="${value}"${figure}${common}>`;
}

/** One choice of several under one name. */
export function choice(
  view: FormView,
  parts: {
    name: string;
    value: string;
    label: string;
    kind: "radio" | "checkbox";
    initial?: boolean;
  },
): Markup {
  const { name, value, label, kind, initial } = parts;
  const typed = view.typed?.[name];
  const checked = typed === undefined ? initial : typed === value;
  return markup`<label class="choice"><input type="${kind}" name="${name}" value="${value}"${checked && markup` checked`}> ${label}</label>`;
}

function idOf(name: string): string {
  return `f-${name.replaceAll(/[^A-Za-z0-9]/g, "-")}`;
}
