import ical, { ICalCalendarMethod, ICalEventTransparency } from "ical-generator";
import { Temporal } from "temporal-polyfill";
import type {
  ReminderItemView,
  ReminderMachineView,
  ReminderMailView,
} from "../application/views.ts";
import type { Instant, PlainDate } from "../domain/calendar/plain-date.ts";
import { dateSentence } from "./date-sentence.ts";
import { idText } from "./mail/headers.ts";
import { labelled } from "./phrases.ts";
import { type Wording, wordingFor } from "./wording.ts";

/**
 * The tasks of a mail as calendar entries (RFC 5545): one all-day event each, on the most likely day,
 * its range and cautions in the text. UID is task and occurrence, SEQUENCE the revision, so that a
 * later mail moves the entry. Null where no task has a day that can be told.
 */
export function reminderCalendar(
  view: ReminderMailView,
  domain: string,
  stamp: Instant,
): string | null {
  const words = wordingFor(view.locale);
  const calendar = ical({
    prodId: {
      company: "Forewheel",
      product: "Reminders",
      language: words.locale.slice(0, 2).toUpperCase(),
    },
    method: ICalCalendarMethod.PUBLISH,
  });
  for (const machine of view.machines) {
    for (const item of machine.items) {
      const day = dayOf(item, view.today);
      if (day === null) continue;
      calendar.createEvent({
        id: `${idText(item.taskId)}-${idText(item.occurrence)}@${idText(domain)}`,
        sequence: item.revision,
        stamp: new Date(stamp),
        start: plain(day),
        allDay: true,
        summary: words.say("calendar.summary", { job: item.title, machine: machine.name }),
        description: describe(words, item, machine, view),
        transparency: ICalEventTransparency.TRANSPARENT,
      });
    }
  }
  if (calendar.length() === 0) return null;
  // The library adds lines for one maker's programs alone; VALUE=DATE says the same to all.
  return `${calendar
    .toString()
    .replaceAll(/^X-[A-Z-]+:.*\r?\n/gm, "")
    .trimEnd()}\r\n`;
}

/** The most likely day, today for one that is reached; a calendar keeps no day in the past. */
function dayOf({ likely, reachedBy }: ReminderItemView, today: PlainDate): PlainDate | null {
  if (reachedBy) return today;
  if (!likely?.most) return null;
  return likely.most < today ? today : likely.most;
}

function describe(
  words: Wording,
  item: ReminderItemView,
  machine: ReminderMachineView,
  { today, zone }: ReminderMailView,
): string {
  const sentence = dateSentence(words, { item, today, zone, meterUnit: machine.meterUnit });
  const defects = machine.doNotRide ?? [];
  return [
    defects.length > 0 && words.say("machine.doNotRideText", { defects: defects.join(", ") }),
    words.say("calendar.description", { sentence }),
    labelled(
      words,
      words.say("job.cautions"),
      [...(item.cautions ?? []), words.say("job.handbook")].join(" "),
    ),
  ]
    .filter(Boolean)
    .join("\n");
}

/** The library's declared type asks for the native Temporal; it reads the polyfill's dates alike. */
function plain(day: PlainDate): Date {
  return Temporal.PlainDate.from(day) as unknown as Date;
}
