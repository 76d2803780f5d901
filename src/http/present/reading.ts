import type { Assessed, AssessedTask } from "../../application/machine/assess.ts";
import type { RecordedReading } from "../../application/readings/record-reading.ts";
import type { Reading } from "../../application/records.ts";
import { holdSentence } from "../../domain/meter/hold-sentence.ts";
import { present, shownDistance, shownInstant, shownStored } from "./shown.ts";
import { shownNext } from "./task.ts";

export function shownReading(reading: Reading) {
  const { vehicleId, meter, value, unit, status, confirmed, source, note } = reading;
  const { replacesId, workRecordId, externalId } = reading;
  return shownStored(reading, {
    vehicleId,
    meter,
    at: shownInstant(reading.at),
    value,
    unit,
    total: shownDistance(reading.total),
    status,
    confirmed,
    reasons: reading.reasons.map((reason) => {
      const { code, likelierValue, likelierUnit, earlierReadingId } = reason;
      const detail = holdSentence(reason, unit);
      return present({ code, detail, likelierValue, likelierUnit, earlierReadingId });
    }),
    source,
    note,
    replacesId,
    workRecordId,
    externalId,
  });
}

/** A reading with what it means: the tasks that fall due next. */
export function shownRecorded({ reading, assessed }: RecordedReading) {
  return {
    ...shownReading(reading),
    next: nearest(assessed).map((one) => shownNext(one, assessed)),
  };
}

const NEAREST = 3;

/** Those that will most likely be reached first; one that nothing tells of comes last. */
export function nearest({ tasks }: Assessed): AssessedTask[] {
  const open = tasks.filter(
    ({ due, judged }) => due.state === "point" && judged.state !== "paused",
  );
  const dated = open.map((task) => ({
    task,
    day: task.crossing?.dayReached(0.5) ?? Number.POSITIVE_INFINITY,
  }));
  dated.sort((a, b) => (a.day === b.day ? 0 : a.day - b.day));
  return dated.slice(0, NEAREST).map(({ task }) => task);
}
