import type { Schedule, ScheduleLine } from "../../application/records.ts";
import { shownStored } from "./shown.ts";

export function shownSchedule(schedule: Schedule) {
  return shownStored(schedule, writableSchedule(schedule));
}

/** The writable part of a schedule, as a caller would write it. */
export function writableSchedule({ name, notes, externalId, lines }: Schedule) {
  return { name, notes, externalId, tasks: lines.map(shownLine) };
}

function shownLine({ id, plan, ...fields }: ScheduleLine) {
  const { kind, whichever, repeatFrom, countsFrom } = plan;
  return {
    id,
    ...fields,
    ...{ kind, whichever, repeatFrom, countsFrom },
    first: plan.first ?? null,
    every: plan.every ?? null,
    on: plan.on ?? null,
    early: plan.early ?? null,
    late: plan.late ?? null,
  };
}
