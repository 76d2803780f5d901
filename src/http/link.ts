/**
 * One link of a `Link` header (RFC 8288, section 3).
 * @param target a URI reference
 * @param attributes written as quoted strings, in ASCII
 */
export function linkTo(
  target: string,
  rel: string,
  attributes: Readonly<Record<string, string>> = {},
): string {
  const rest = Object.entries(attributes).map(([name, value]) => `; ${name}=${quoted(value)}`);
  return `<${target.replaceAll(">", "%3E")}>; rel=${quoted(rel)}${rest.join("")}`;
}

function quoted(value: string): string {
  return `"${value.replaceAll(/["\\]/g, "\\$&")}"`;
}
