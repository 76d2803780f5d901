import type { z } from "zod";
import type { WorkRecord } from "../application/records.ts";
import type { WorkInput } from "../application/work-done/log-work.ts";
import { refuseField } from "../domain/failure/failure.ts";
import type { DistanceUnit } from "../domain/units/distance.ts";
import type { Caller } from "./caller.ts";
import type { amendBody, workBody } from "./schemas/work-record.ts";

type Body = z.output<typeof workBody>;

/** Work as the verbs take it. Without `by`, the key's own member did it. */
export function workInputOf(body: Body, caller: Caller, meterUnit: DistanceUnit): WorkInput {
  const { doneAt, reading, by, ...rest } = body;
  return {
    ...rest,
    doneAt: "instant" in doneAt ? doneAt.instant : doneAt.date,
    reading: reading && { value: reading.value, unit: reading.unit ?? meterUnit },
    performedBy: by ?? ownWork(caller),
  };
}

function ownWork({ memberId }: Caller): WorkInput["performedBy"] {
  if (memberId !== undefined) return { memberId };
  throw refuseField("#/by", "must say who did it: this key is not bound to a member");
}

/** The record as it stands with what the amendment gives in place. */
export function amendedInput(
  record: WorkRecord,
  { reason: _reason, ...given }: z.output<typeof amendBody>,
  caller: Caller,
  meterUnit: DistanceUnit,
): WorkInput {
  const stands: Body = {
    doneAt: { instant: record.doneAt },
    reading: record.reading,
    taskIds: record.tasks.map(({ taskId }) => taskId),
    by: record.performedBy,
    findings: record.findings.map(({ point, asFound, asLeft, condition, note }) => ({
      point: point.id ?? point.name,
      asFound,
      ...(asLeft && { asLeft }),
      ...(condition && { condition }),
      ...(note !== undefined && { note }),
    })) as Body["findings"],
    parts: record.parts as Body["parts"],
    minutes: record.minutes,
    labour: record.labour,
    cost: record.cost,
    notes: record.notes,
    externalId: record.externalId,
  };
  return workInputOf({ ...stands, ...withoutUndefined(given) }, caller, meterUnit);
}

function withoutUndefined<T extends object>(fields: T): Partial<Body> {
  return Object.fromEntries(Object.entries(fields).filter(([, value]) => value !== undefined));
}

/** What was sent, by the names of the stored record, for the comparison with one sent before. */
export function givenWork(input: WorkInput): Record<string, unknown> {
  const { performedBy, minutes, notes, reading } = input;
  return {
    performedBy,
    minutes,
    notes,
    reading,
    ...(typeof input.doneAt === "number" ? { doneAt: input.doneAt } : { doneOn: input.doneAt }),
  };
}
