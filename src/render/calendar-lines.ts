/** Octets of a line without its end, by RFC 5545, section 3.1. */
const LINE_OCTETS = 75;

/**
 * Content lines of a calendar (RFC 5545, section 3.1): folded, ended with CRLF, and free of control
 * characters and of what some readers take for the end of a line.
 */
export function contentLines(lines: readonly string[]): string {
  return lines.map((line) => `${folded(clean(line))}\r\n`).join("");
}

/** A value of the type TEXT (RFC 5545, section 3.3.11). */
export function textValue(text: string): string {
  return text.replaceAll(/[\\;,]/g, "\\$&").replaceAll(/\r\n|\r|\n/g, "\\n");
}

/** A value of the type DATE, from a plain date: 20260520. */
export function dateValue(date: string): string {
  return date.replaceAll("-", "");
}

/** A value of the type DATE-TIME in UTC, from milliseconds since 1970: 20260412T073000Z. */
export function instantValue(instant: number): string {
  return `${new Date(instant).toISOString().slice(0, 19).replaceAll(/[-:]/g, "")}Z`;
}

function clean(line: string): string {
  return line.replaceAll(/[^\P{Cc}\t]|[\u2028\u2029]/gu, "");
}

/** No fold lies inside a character: the octets after its first begin with the bits 10 (UTF-8). */
function folded(line: string): string {
  const octets = Buffer.from(line);
  const parts: string[] = [];
  let start = 0;
  // The space that begins a folded line counts as well.
  for (let room = LINE_OCTETS; start < octets.length; room = LINE_OCTETS - 1) {
    let end = start + room;
    while (((octets[end] ?? 0) & 0xc0) === 0x80) end -= 1;
    parts.push(octets.toString("utf8", start, end));
    start = end;
  }
  return parts.join("\r\n ");
}
