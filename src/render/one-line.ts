/** Spaces that may be broken at; the others were set on purpose, before a colon or a unit. */
const BREAKABLE = /[^\S\u00a0\u202f]+/gu;

/** A text on one line, whatever line breaks and runs of spaces it had. */
export function oneLine(text: string): string {
  return text.replaceAll(BREAKABLE, " ").trim();
}
