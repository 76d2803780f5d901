/**
 * Where a field stands in a body: a JSON Pointer (RFC 6901) in its URI fragment form, as RFC 9457
 * section 3 prints it (`#/profile/color`). Without steps it is the whole body, `#`.
 */
export function pointer(...steps: readonly (string | number)[]): string {
  return `#${steps.map((step) => `/${fragment(escaped(String(step)))}`).join("")}`;
}

function escaped(step: string): string {
  return step.replaceAll("~", "~0").replaceAll("/", "~1");
}

/** encodeURI leaves what a fragment may hold, save these three; a lone surrogate has no encoding. */
function fragment(step: string): string {
  return encodeURI(step.replace(/\p{Surrogate}/gu, "\uFFFD"))
    .replaceAll("#", "%23")
    .replaceAll("[", "%5B")
    .replaceAll("]", "%5D");
}
