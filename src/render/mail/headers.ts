import type { MailFrameView } from "../../application/views.ts";

/** Older tasks of a thread add nothing for a mail program, and a header has its limits. */
const MOST_REFERENCES = 10;

/**
 * What a reminder says of itself: sent by a machine (RFC 3834, section 5), left with one press
 * (RFC 8058; both fields must be covered by the DKIM signature), and one thread a task.
 */
export function reminderHeaders(
  view: Pick<MailFrameView, "links">,
  thread: { taskIds: readonly string[]; domain: string },
  locale: string,
): Record<string, string> {
  const references = thread.taskIds
    .slice(0, MOST_REFERENCES)
    .map((id) => `<task-${idText(id)}@${idText(thread.domain)}>`);
  return {
    ...noticeHeaders(locale),
    ...leaving(view),
    ...(references.length > 0 && { References: references.join(" ") }),
  };
}

/** The same of a digest; all digests of one member are one thread. */
export function digestHeaders(
  view: Pick<MailFrameView, "links">,
  thread: { memberId: string; domain: string },
  locale: string,
): Record<string, string> {
  return {
    ...noticeHeaders(locale),
    ...leaving(view),
    References: `<digest-${idText(thread.memberId)}@${idText(thread.domain)}>`,
  };
}

function leaving({ links }: Pick<MailFrameView, "links">): Record<string, string> {
  return {
    "List-Unsubscribe": `<${headerUrl(links.unsubscribeOneClick)}>`,
    "List-Unsubscribe-Post": "List-Unsubscribe=One-Click",
  };
}

/** What every mail says of itself; `locale` is the language that it is really written in. */
export function noticeHeaders(locale: string): Record<string, string> {
  return { "Auto-Submitted": "auto-generated", "Content-Language": locale };
}

/** One line without control characters: nothing in it can end a header and begin another. */
export function headerText(text: string): string {
  return text
    .replaceAll(/[\p{Cc}\p{Cf}\p{Zl}\p{Zp}]+/gu, " ")
    .replaceAll(/ {2,}/g, " ")
    .trim();
}

/** The letters that an identifier in a message header or a calendar may have, whatever came in. */
export function idText(text: string): string {
  return text.replaceAll(/[^A-Za-z0-9.-]/g, "-");
}

/** @throws TypeError where the address is none; `new URL` writes out what could split a header. */
function headerUrl(url: string): string {
  return new URL(url).href.replaceAll(/[<>\s,]/g, (sign) => encodeURIComponent(sign));
}
