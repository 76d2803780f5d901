import type { HoldCode, HoldReason } from "./hold-reason.ts";

const WORDS: Record<HoldCode, string> = {
  runsBackwards: "A meter never runs backwards: this reading contradicts another one in time.",
  tooFast: "No such machine runs so far in that time.",
  sameInstantOtherValue: "Another value is known for this very instant.",
  earlierIsTheSlip: "The reading before it is the likelier slip: correct or confirm that one.",
  otherUnit: "It looks like the figure of the other unit",
  digitDropped: "It looks as if a digit was left out",
  digitDoubled: "It looks as if a digit was typed twice",
  digitsSwapped: "It looks as if two digits were swapped",
  digitMistyped: "It looks as if one digit was mistyped",
};

/**
 * A reason to hold a reading, as an English sentence. `unit` is that of the reading which is held; a
 * likelier value of an earlier one may carry its own.
 */
export function holdSentence(
  { code, likelierValue, likelierUnit }: HoldReason,
  unit: string,
): string {
  const words = WORDS[code];
  if (likelierValue === undefined) return words;
  const told = `${likelierValue} ${likelierUnit ?? unit} is likelier`;
  if (code === "earlierIsTheSlip") return `${words} ${told} there.`;
  return words.endsWith(".") ? `${words} ${told}.` : `${words}: ${told}.`;
}
