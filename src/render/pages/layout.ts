import { createHash } from "node:crypto";
import type { MachineView } from "../../application/views.ts";
import { doNotRideBand } from "../cautions.ts";
import { type Markup, markup, trusted } from "../markup.ts";
import type { Wording } from "../wording.ts";
import { PAGE_STYLE } from "./page-style.ts";

/** What a content security policy calls the style sheet of every page and sheet. */
export const PAGE_STYLE_HASH = `sha256-${createHash("sha256").update(PAGE_STYLE).digest("base64")}`;

const STYLE = trusted(PAGE_STYLE);

export interface PageParts {
  accountName: string;
  machine?: MachineView;
  /** What the page is, at the right of the stub. */
  stub: string;
  title: string;
  content: Markup;
}

/** The machine left, what this page is right: it opens every page and sheet. */
export function stub(left: string, right: string): Markup {
  return markup`<div class="stub"><span>${left}</span><span>${right}</span></div>`;
}

export function machineTitle(machine: MachineView): string {
  return [machine.name, machine.group].filter(Boolean).join(" · ");
}

/** A page with its stub; an open `do not ride` defect comes before all else. */
export function page(words: Wording, parts: PageParts): string {
  const { accountName, machine, title, content } = parts;
  return document(
    words,
    title,
    markup`${stub(machine ? machineTitle(machine) : accountName, parts.stub)}
${machine && doNotRideBand(words, machine)}
<h1>${title}</h1>
${content}`,
  );
}

/** The whole document around what it shows. Search engines and referrers learn nothing of it. */
export function document(words: Wording, title: string, content: Markup): string {
  return String(markup`<!doctype html>
<html lang="${words.locale}">
<head>
<meta charset="utf-8">
<meta name="viewport" content="width=device-width, initial-scale=1">
<meta name="color-scheme" content="light dark">
<meta name="robots" content="noindex">
<title>${title}</title>
<style>${STYLE}</style>
</head>
<body>
<main>
${content}
</main>
</body>
</html>
`);
}
