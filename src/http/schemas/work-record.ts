import { z } from "zod";
import { externalId, id, money, pageQuery, span, text, updatedAfter } from "./common.ts";
import { condition, measurement, point, verdict } from "./finding.ts";
import { stored } from "./people.ts";
import { nextDue } from "./task.ts";
import { instant, instantOrDate, plainDate } from "./time.ts";

const trade = z.enum(["owner", "workshop"]);

export const performedBy = z.union([
  z.strictObject({ memberId: id, trade: trade.optional() }),
  z.strictObject({ name: text(200), trade: trade.optional() }),
]);

const part = z.strictObject({
  name: text(300),
  number: text(100).optional(),
  quantity: z.number().positive().max(100_000).optional(),
  cost: money.optional(),
  madeOn: plainDate
    .optional()
    .meta({ description: "When the part was made, where that is what ages it." }),
});

export const readingAtWork = z.strictObject({
  value: z.number().min(0).max(10_000_000),
  unit: z.enum(["km", "mi", "h"]).optional(),
});

const findingBody = z
  .strictObject({
    point: text(300).meta({ description: "Id or name of a measuring point of one of the tasks." }),
    asFound: measurement,
    asLeft: measurement.optional(),
    condition: condition.optional(),
    note: text(2000).optional(),
  })
  .meta({ id: "FindingBody" });

export const workFields = {
  doneAt: instantOrDate,
  reading: readingAtWork.nullable().default(null),
  taskIds: z
    .array(id)
    .max(100)
    .refine((ids) => new Set(ids).size === ids.length, "must name each task once")
    .default([]),
  by: performedBy.nullable().default(null),
  findings: z.array(findingBody).max(500).default([]),
  parts: z.array(part).max(200).default([]),
  minutes: z.number().positive().max(100_000).nullable().default(null),
  labour: money.nullable().default(null),
  cost: money.nullable().default(null),
  notes: text(10_000).nullable().default(null),
  externalId: externalId.nullable().default(null),
};

export const workBody = z.strictObject(workFields).meta({ id: "WorkRecordBody" });

const reason = text(2000);

export const voidBody = z.strictObject({ reason }).meta({ id: "WorkRecordVoid" });

/** What is given replaces what stands; what is left out stays, so that no default may fill it in. */
export const amendBody = z
  .strictObject({
    reason,
    doneAt: workFields.doneAt.optional(),
    reading: workFields.reading.unwrap().optional(),
    taskIds: workFields.taskIds.unwrap().optional(),
    by: workFields.by.unwrap().optional(),
    findings: workFields.findings.unwrap().optional(),
    parts: workFields.parts.unwrap().optional(),
    minutes: workFields.minutes.unwrap().optional(),
    labour: workFields.labour.unwrap().optional(),
    cost: workFields.cost.unwrap().optional(),
    notes: workFields.notes.unwrap().optional(),
    externalId: workFields.externalId.unwrap().optional(),
  })
  .meta({ id: "WorkRecordAmendment" });

const window = z.enum(["within", "outside"]).nullable();

export const finding = z
  .strictObject({
    taskId: id.nullable(),
    point: point.safeExtend({ id: id.optional() }),
    asFound: measurement,
    verdict,
    tryLeaf: z.number().optional(),
    why: z.string(),
    asLeft: measurement.optional(),
    verdictAsLeft: verdict.optional(),
    whyAsLeft: z.string().optional(),
    condition: condition.optional(),
    note: z.string().optional(),
  })
  .meta({
    id: "Finding",
    description: "What was found at a measuring point, judged against its limits.",
  });

export const workRecord = z
  .strictObject({
    ...stored,
    vehicleId: id,
    enteredAt: instant,
    doneAt: instant,
    doneOn: plainDate,
    reading: z.strictObject({ value: z.number(), unit: z.enum(["km", "mi", "h"]) }).nullable(),
    distance: z.number().nullable().meta({
      description:
        "The total when it was done, in the meter's unit: of its reading, else the likeliest.",
    }),
    hours: z.number().nullable(),
    taskIds: z.array(id),
    tasks: z.array(
      z.strictObject({ taskId: id, title: z.string(), occurrence: z.string().nullable(), window }),
    ),
    by: z.union([
      z.strictObject({ memberId: id, trade: trade.optional() }),
      z.strictObject({ name: z.string(), trade: trade.optional() }),
    ]),
    findings: z.array(finding),
    parts: z.array(part),
    minutes: z.number().nullable(),
    labour: money.nullable(),
    cost: money.nullable(),
    notes: z.string().nullable(),
    window: window.meta({ description: "The worst of its tasks'." }),
    status: z.enum(["standing", "amended", "void"]),
    revisions: z.array(
      z.strictObject({
        at: instant,
        what: z.enum(["amended", "void"]),
        reason: z.string(),
        before: z.record(z.string(), z.unknown()).optional(),
      }),
    ),
    externalId: z.string().nullable(),
  })
  .meta({ id: "WorkRecord", description: "What was done, never edited away." });

export const loggedWork = workRecord
  .extend({
    next: z.array(nextDue).meta({ description: "The tasks that it covers, as they stand now." }),
  })
  .meta({ id: "LoggedWork" });

export const workParams = z.strictObject({ vehicleId: id, workRecordId: id });

export const workList = pageQuery.extend({
  ...span,
  status: z.enum(["standing", "amended", "void"]).optional(),
  externalId: externalId.optional(),
  updatedAfter,
});
