import type { HoldCode, HoldReason } from "./accept.ts";

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

/** A reason to hold a reading, as an English sentence. */
export function holdSentence({ code, likelierValue }: HoldReason, unit: string): string {
  const words = WORDS[code];
  return likelierValue === undefined ? words : `${words}: ${likelierValue} ${unit} is likelier.`;
}
