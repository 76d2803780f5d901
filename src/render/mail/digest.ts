import type { DigestMailView, Listed } from "../../application/digest-view.ts";
import type { RenderedMail } from "../../application/views.ts";
import { wordingFor } from "../wording.ts";
import { digestHtml } from "./digest-html.ts";
import { digestText } from "./digest-text.ts";
import { digestSubject } from "./digest-words.ts";
import { digestHeaders } from "./headers.ts";

/** Mail programs cut longer messages short, and with them the way out. */
const MOST_BYTES = 58_000;

/** How many machines, and lines of each other part, are shown one by one; the rest is counted. */
const STEPS = [
  { machines: 30, lines: 10 },
  { machines: 20, lines: 8 },
  { machines: 12, lines: 5 },
  { machines: 6, lines: 3 },
  { machines: 3, lines: 2 },
  { machines: 1, lines: 1 },
];

/** The digest in the member's language, as much of it as a mail may hold. */
export function renderDigest(
  view: DigestMailView,
  thread: { memberId: string; domain: string },
): RenderedMail {
  const words = wordingFor(view.locale);
  const subject = digestSubject(words, view);
  const headers = digestHeaders(view, thread, words.locale);
  for (const step of STEPS) {
    const some = cut(view, step);
    const html = digestHtml(words, some);
    if (Buffer.byteLength(html) > MOST_BYTES && step !== STEPS.at(-1)) continue;
    return { subject, text: digestText(words, some), html, headers, attachments: [] };
  }
  throw new Error("There is a last step.");
}

function cut(view: DigestMailView, { machines, lines }: (typeof STEPS)[number]): DigestMailView {
  return {
    ...view,
    machines: first(view.machines, machines),
    held: first(view.held, lines),
    silent: first(view.silent, lines),
    work: first(view.work, lines),
    undelivered: first(view.undelivered, lines),
    refused: first(view.refused, lines),
  };
}

function first<T>({ items, count }: Listed<T>, most: number): Listed<T> {
  return { items: items.slice(0, most), count };
}
