import type { ForecastChartView } from "../../application/views.ts";
import { MS_PER_DAY, type PlainDate } from "../../domain/calendar/plain-date.ts";
import { dateAt } from "../../domain/calendar/zone.ts";
import { likelyInShort } from "../date-sentence.ts";
import { amount } from "../figures.ts";
import type { Wording } from "../wording.ts";
import { acceptedOf } from "./frame.ts";
import { heldWords } from "./key.ts";

const TOLD_AHEAD = 90 * MS_PER_DAY;

/** What the drawing shows, for those who do not see it: readings, fan, due lines, lay-ups. */
export function chartInWords(words: Wording, view: ForecastChartView, today: PlainDate): string {
  const { dueLines, unit, zone, fan } = view;
  const last = acceptedOf(view).at(-1);
  const day = (at: number) => words.date(dateAt(at, zone), "dayYear");
  const sentences = [
    last
      ? words.say("chart.lastReading", {
          value: amount(words, last.value, unit, 1),
          on: day(last.at),
        })
      : words.say("chart.noReading"),
    ...fanInWords(words, view, day),
    ...dueLines.map((line) =>
      words.say("chart.dueAt", {
        title: line.title,
        distance: amount(words, line.value, unit),
        range: likelyInShort(words, fan.length === 0 ? undefined : line, today, zone),
      }),
    ),
    ...view.readings
      .filter(({ status }) => status === "held")
      .map(
        ({ at, value, likelierValue }) =>
          `${heldWords(words, value, likelierValue, unit, day(at))}.`,
      ),
    ...view.layUps.map(({ from, to }) => {
      const since = words.date(from, "dayYear");
      if (to === null) return words.say("chart.laidUpSince", { from: since });
      return words.say("chart.laidUpFromTo", { from: since, to: words.date(to, "dayYear") });
    }),
  ];
  return sentences.join(" ");
}

/** The width of the fan a quarter of a year ahead, rounded outward. */
function fanInWords(
  words: Wording,
  { fan, now, unit }: ForecastChartView,
  day: (at: number) => string,
): string[] {
  const step = fan.find(({ at }) => at >= now + TOLD_AHEAD);
  if (!step) return [];
  const from = words.number(Math.floor(step.p10 / 10) * 10);
  const to = amount(words, Math.ceil(step.p90 / 10) * 10, unit);
  return [words.say("chart.fanAt", { on: day(step.at), from, to })];
}
