import type { Wording } from "./wording.ts";

/** "Tools: 10 mm spanner", with the spaces that the language sets around a colon. */
export function labelled(words: Wording, label: string, text: string): string {
  return words.say("phrase.labelled", { label, text });
}

/** "0.13; 0.08": parts that may hold commas of their own; empty ones are left out. */
export function listed(words: Wording, parts: ReadonlyArray<string | false | undefined>): string {
  const told = parts.filter((part): part is string => Boolean(part));
  const [first = "", ...rest] = told;
  return rest.reduce((one, other) => words.say("phrase.listed", { one, other }), first);
}
