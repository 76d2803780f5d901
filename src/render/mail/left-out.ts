import type { Wording } from "../wording.ts";
import type { Selection } from "./selection.ts";

/** What a mail that would be too long only counts: jobs, and machines that only ask. */
export function leftOutLines(words: Wording, { leftOut, asksLeftOut }: Selection): string[] {
  const lines: string[] = [];
  if (leftOut > 0) lines.push(words.say("mail.leftOut", { count: leftOut }));
  if (asksLeftOut > 0) lines.push(words.say("mail.leftOutAsks", { count: asksLeftOut }));
  return lines;
}
