import type { EventRecord, Message, Reminder } from "../../application/records.ts";
import { shownInstant, shownInstantOrNull, shownStored } from "./shown.ts";

const SENTENCES: Record<string, string> = {
  calendar: "The calendar limit speaks then.",
  reading: "A reading shows that the due point is reached.",
  forecast: "By the forecast it is likely enough then.",
  distanceLeft: "By the forecast no more than the lead distance is left then.",
  ridingOn: "A machine that is ridden on would be due then.",
  silence: "Nothing was heard of the machine for long.",
  noReading: "No reading is known yet.",
  layUp: "The lay-up has no known end: has it ended?",
  occurrenceOver: "The due point is settled: the work was logged, or its date went by.",
  revised: "The due point was revised.",
  overtaken: "A later stage speaks instead.",
  notWanted: "The rules no longer ask for it.",
  notSent: "It could not be sent.",
  person: "A person cancelled it.",
};

export function shownReminder(reminder: Reminder) {
  const { vehicleId, taskId, memberId, occurrence, revision, stage, status, messageId } = reminder;
  const by = String(reminder.why.by ?? "forecast");
  return shownStored(reminder, {
    ...{ vehicleId, taskId, memberId, occurrence, revision, stage },
    plannedFor: shownInstant(reminder.plannedFor),
    status,
    why: { ...reminder.why, by, sentence: SENTENCES[by] ?? "" },
    deferredUntilOn: reminder.deferredUntilOn,
    deferredUntilDistance: reminder.deferredUntilDistance,
    messageId,
    sentAt: shownInstantOrNull(reminder.sentAt),
  });
}

export function shownMessage(message: Message) {
  const {
    memberId,
    endpointId,
    kind,
    subject,
    status,
    attempts,
    lastAnswer,
    messageIdHeader,
    address,
  } = message;
  const open = status === "waiting" || status === "unknown" || status === "sending";
  return shownStored(message, {
    ...{ memberId, endpointId, kind, subject, status, attempts },
    nextAttemptAt: open ? shownInstant(message.nextAttemptAt) : null,
    ...{ lastAnswer, messageIdHeader, address },
    sentAt: shownInstantOrNull(message.sentAt),
    reminders: message.reminderIds,
  });
}

export function shownWholeMessage(message: Message) {
  const { headers, text, html, attachments } = message;
  return { ...shownMessage(message), headers: headers ?? {}, text, html, attachments };
}

export function shownEvent({ id, type, vehicleId, resourceId, data, at }: EventRecord) {
  return { id, type, vehicleId, resourceId, data, at: shownInstant(at) };
}
