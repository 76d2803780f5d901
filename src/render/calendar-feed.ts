import type { CalendarEntryView, CalendarView } from "../application/calendar-view.ts";
import type { DueRule } from "../application/views.ts";
import { contentLines, dateValue, instantValue, textValue } from "./calendar-lines.ts";
import { likelySentence } from "./date-sentence.ts";
import { amount, shorten } from "./figures.ts";
import { idText } from "./mail/headers.ts";
import { oneLine } from "./one-line.ts";
import { labelled } from "./phrases.ts";
import { type Wording, wordingFor } from "./wording.ts";

/** How often a subscriber is asked to look again (RFC 7986, section 5.7), and may keep what it has. */
export const REFRESH_SECONDS = 3_600;

const MOST_CAUTIONS = 400;

/**
 * A calendar to subscribe to (RFC 5545, RFC 7986), in parts to be joined: one all-day entry a task, on
 * the day on which it most likely falls due. UID is the task, SEQUENCE and DTSTAMP are those of the
 * last telling, so that the same view makes the same bytes. No alarms: the mails remind.
 */
export function* calendarParts(view: CalendarView, domain: string): Generator<string> {
  const words = wordingFor(view.locale);
  yield contentLines([
    "BEGIN:VCALENDAR",
    "VERSION:2.0",
    `PRODID:-//Forewheel//Calendar feed//${words.locale.slice(0, 2).toUpperCase()}`,
    `NAME:${textValue(oneLine(view.name))}`,
    `REFRESH-INTERVAL;VALUE=DURATION:PT${REFRESH_SECONDS / 3_600}H`,
  ]);
  for (const entry of view.entries) {
    yield contentLines(eventLines(words, entry, view.zone, domain));
  }
  yield contentLines(["END:VCALENDAR"]);
}

/** Without METHOD both DTSTAMP and LAST-MODIFIED say when the entry was revised (section 3.8.7.2). */
function eventLines(
  words: Wording,
  entry: CalendarEntryView,
  zone: string,
  domain: string,
): string[] {
  const changed = instantValue(entry.changedAt);
  return [
    "BEGIN:VEVENT",
    `UID:task-${idText(entry.taskId)}@${idText(domain)}`,
    `SEQUENCE:${entry.sequence}`,
    `DTSTAMP:${changed}`,
    `LAST-MODIFIED:${changed}`,
    `DTSTART;VALUE=DATE:${dateValue(entry.on)}`,
    `SUMMARY:${textValue(summary(words, entry))}`,
    `DESCRIPTION:${textValue(description(words, entry, zone))}`,
    `CATEGORIES:${textValue(oneLine(entry.machine))}`,
    `STATUS:${entry.forecast ? "TENTATIVE" : "CONFIRMED"}`,
    "TRANSP:TRANSPARENT",
    "END:VEVENT",
  ];
}

function summary(words: Wording, { stage, title, machine }: CalendarEntryView): string {
  const key = stage === "overdue" ? "calendar.feedOverdue" : "calendar.feedSummary";
  return oneLine(words.say(key, { job: title, machine }));
}

function description(words: Wording, entry: CalendarEntryView, zone: string): string {
  const { forecast, cautions } = entry;
  const care = [shorten(cautions.join(" "), MOST_CAUTIONS), words.say("job.handbook")];
  const lines = [
    forecast
      ? likelySentence(words, forecast.likely, forecast.told, zone)
      : words.say("date.on", { date: words.date(entry.on, "dayYear") }),
    ruleLine(words, entry),
    forecast && words.say("calendar.feedForecast", { date: words.date(forecast.told, "dayYear") }),
    labelled(words, words.say("job.cautions"), care.filter(Boolean).join(" ")),
  ];
  return lines.filter(Boolean).join("\n");
}

/** "Comes due by distance or date: 6,000 km on the meter or 1 May 2027 by the calendar, whichever comes first." */
function ruleLine(words: Wording, entry: CalendarEntryView): string {
  const limits = limitsOf(words, entry);
  if (limits.length === 0) return "";
  const either = (parts: string[]) => parts.reduce((one, other) => words.either(one, other));
  const rule = either(limits.map((limit) => words.say(`rule.${limit.rule}`)));
  const text = words.say(`stage.${entry.stage}`, { rule });
  if (!entry.forecast) return `${text}.`;
  const figures = either(limits.map(({ figure }) => figure));
  if (limits.length === 1) return `${labelled(words, text, figures)}.`;
  const key = entry.whichever === "first" ? "calendar.feedFirst" : "calendar.feedLast";
  return labelled(words, text, words.say(key, { limits: figures }));
}

function limitsOf(
  words: Wording,
  { due: { distance, hours, date }, meterUnit }: CalendarEntryView,
): { rule: DueRule; figure: string }[] {
  const limits: { rule: DueRule; figure: string }[] = [];
  const add = (rule: DueRule, figure: string) => limits.push({ rule, figure });
  if (distance !== undefined) {
    add("distance", words.say("due.atDistance", { distance: amount(words, distance, meterUnit) }));
  }
  if (hours !== undefined) {
    add("hours", words.say("due.atHours", { hours: amount(words, hours, "h", 1) }));
  }
  if (date !== undefined) {
    add("date", words.say("due.onDate", { date: words.date(date, "dayYear") }));
  }
  return limits;
}
