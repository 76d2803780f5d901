import { meterFigures } from "../figures.ts";
import { href, type Markup, markup, trusted } from "../markup.ts";
import type { Wording } from "../wording.ts";
import { DARK_SHEET, STYLE } from "./mail-style.ts";

const SHEET = trusted(DARK_SHEET);

/** A link that is pressed: at least 44 px high; one main one a mail. */
export function button(label: string, url: string, main = false): Markup {
  const kind = main ? "button" : "other";
  return markup`<a class="${kind}" style="${STYLE[kind]}" href="${href(url)}">${label}</a>`;
}

/** What is seldom pressed: a link beside the buttons, and as high as they are. */
export function action(label: string, url: string): Markup {
  return markup`<a class="link action" style="${STYLE.action}" href="${href(url)}">${label}</a>`;
}

export function stub(left: string, right: string): Markup {
  return markup`<table role="presentation" class="stub" style="${STYLE.stub}"><tr><td style="${STYLE.cellLeft}">${left}</td><td style="${STYLE.cellRight}">${right}</td></tr></table>`;
}

export function band(title: string, lines: readonly string[]): Markup {
  return markup`<div class="caution" style="${STYLE.caution}"><strong>${title}</strong>${lines.map(
    (line) => markup`<p style="${STYLE.cautionLine}">${line}</p>`,
  )}</div>`;
}

/** The estimate in boxed figures; the words beside it carry the same to a screen reader. */
export function drum(value: number): Markup {
  const { whole, tenth } = meterFigures(value);
  return markup`<span aria-hidden="true" class="rule" style="${STYLE.drum}">${whole.map(
    (figure) => markup`<span class="hair" style="${STYLE.figure}">${figure}</span>`,
  )}<span class="tenth" style="${STYLE.tenth}">${tenth}</span></span>`;
}

/** The whole message around its content. */
export function mailPage(
  words: Wording,
  page: { subject: string; opening: string; content: Markup },
): Markup {
  return markup`<!doctype html>
<html lang="${words.locale}">
<head>
<meta charset="utf-8">
<meta name="viewport" content="width=device-width, initial-scale=1">
<meta name="color-scheme" content="light dark">
<title>${page.subject}</title>
<style>${SHEET}</style>
</head>
<body class="paper ink" style="${STYLE.body}">
<div style="${STYLE.preview}">${page.opening}</div>
<main class="paper ink" style="${STYLE.main}">
${page.content}
</main>
</body>
</html>
`;
}
