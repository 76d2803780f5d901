import { z } from "zod";
import { externalId, id, pageQuery, span, text, updatedAfter } from "./common.ts";
import { stored } from "./people.ts";
import { problem } from "./problem.ts";
import { nextDue } from "./task.ts";
import { instant } from "./time.ts";

export const readingUnit = z.enum(["km", "mi", "h"]);
export const readingSource = z.enum(["rider", "workshop", "import", "device", "link"]);
export const readingStatus = z.enum(["accepted", "held", "superseded"]);

const value = z
  .number()
  .min(0)
  .max(10_000_000)
  .meta({ example: 5210, description: "What the meter shows." });

export const readingBody = z
  .strictObject({
    value,
    at: instant.optional().meta({ description: "When it was read; now, if not told." }),
    unit: readingUnit.optional().meta({ description: "The meter's own unit, if not told." }),
    meter: z.enum(["distance", "hours"]).default("distance"),
    source: readingSource.default("rider"),
    note: text(2000).nullable().default(null),
    externalId: externalId.nullable().default(null),
  })
  .meta({ id: "ReadingBody" });

export const correctionBody = z
  .strictObject({ value, unit: readingUnit.optional(), at: instant.optional() })
  .meta({ id: "ReadingCorrection" });

export const holdReason = z
  .strictObject({
    code: z.string().meta({ description: "What does not fit." }),
    detail: z.string(),
    likelierValue: z.number().optional().meta({
      description:
        "What the meter more likely showed, in the reading's unit; with earlierIsTheSlip at the earlier reading.",
    }),
    likelierUnit: readingUnit.optional().meta({
      description:
        "Unit of the likelier value, where the earlier reading was posted in another one.",
    }),
    earlierReadingId: id
      .optional()
      .meta({ description: "The earlier reading that is the likelier slip." }),
  })
  .meta({ id: "HoldReason" });

export const reading = z
  .strictObject({
    ...stored,
    vehicleId: id,
    meter: z.enum(["distance", "hours"]),
    at: instant,
    value: z.number(),
    unit: readingUnit,
    total: z.number().meta({ description: "What the machine has run in all, over meter changes." }),
    status: readingStatus,
    confirmed: z.boolean(),
    reasons: z.array(holdReason),
    source: readingSource,
    note: z.string().nullable(),
    replacesId: id.nullable(),
    workRecordId: id.nullable(),
    externalId: z.string().nullable(),
  })
  .meta({ id: "Reading", description: "What a meter showed at an instant, as it was posted." });

export const recordedReading = reading
  .extend({ next: z.array(nextDue).meta({ description: "The tasks that fall due next." }) })
  .meta({ id: "RecordedReading" });

export const readingParams = z.strictObject({ vehicleId: id, readingId: id });

export const readingList = pageQuery.extend({
  ...span,
  status: readingStatus.optional(),
  meter: z.enum(["distance", "hours"]).optional(),
  externalId: externalId.optional(),
  updatedAfter,
});

export const batchBody = z
  .strictObject({
    readings: z
      .array(readingBody.safeExtend({ vehicleId: id }))
      .min(1)
      .max(500),
  })
  .meta({ id: "ReadingBatch" });

export const batchAnswer = z
  .strictObject({
    results: z.array(
      z.strictObject({
        index: z.int(),
        status: z
          .int()
          .meta({ description: "The HTTP status that the reading would have had alone." }),
        reading: reading.nullable(),
        problem: problem.nullable().meta({ description: "Why it was refused." }),
      }),
    ),
  })
  .meta({ id: "ReadingBatchAnswer" });
