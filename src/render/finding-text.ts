import type { FindingView } from "../application/history-views.ts";
import type { Measurement } from "../domain/finding/point.ts";
import { digitsOf } from "./figures.ts";
import { listed } from "./phrases.ts";
import type { Wording } from "./wording.ts";

/** "cold; 20 °C": the state of the engine; empty where it was not noted. */
export function conditionText(
  words: Wording,
  { cold, engineTemperature }: NonNullable<FindingView["condition"]>,
): string {
  const degrees = engineTemperature !== undefined && words.number(engineTemperature, 1);
  return listed(words, [
    cold && words.say("found.cold"),
    degrees && words.say("unit.other", { value: degrees, unit: "°C" }),
  ]);
}

/** "0.10", "0.10 goes, 0.13 refuses", "watch", "in spec, figure not noted". */
export function measurementText(
  words: Wording,
  measured: Measurement,
  { lower, upper, unit = "" }: FindingView["point"],
): string {
  if ("stated" in measured) return words.say("verdict.stated");
  if ("look" in measured) return words.say(`verdict.${measured.look}`);
  const figure = (value: number) => {
    const digits = Math.max(digitsOf(lower), digitsOf(upper), digitsOf(value));
    // Beside limits that name the unit, the figure alone is clear.
    const told = lower === undefined && upper === undefined ? unit : "";
    const text = words.measure(value, digits);
    return told ? words.say("unit.other", { value: text, unit: told }) : text;
  };
  if ("value" in measured) return figure(measured.value);
  const { goes, refuses } = measured;
  if (goes === undefined && refuses === undefined) return "";
  if (refuses === undefined) return words.say("found.goes", { goes: figure(goes ?? 0) });
  if (goes === undefined) return words.say("found.refuses", { refuses: figure(refuses) });
  return words.say("found.both", { goes: figure(goes), refuses: figure(refuses) });
}
