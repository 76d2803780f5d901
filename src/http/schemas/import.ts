import { z } from "zod";
import { externalId, id, pageQuery } from "./common.ts";
import { stored } from "./people.ts";
import { instant } from "./time.ts";

const importKind = z.enum(["readings", "vehicles", "work", "account"]);
const importStatus = z.enum(["applied", "refused", "tried"]);
const outcome = z.enum(["refused", "held", "repeated"]);

export const importQuery = z.strictObject({
  kind: importKind.meta({ description: "What the rows of the file are." }),
  dryRun: z
    .string()
    .regex(/^(?:true|false)$/, "must be true or false")
    .transform((word) => word === "true")
    .default(false)
    .meta({
      override: { type: "boolean", default: false },
      description: "Tells what would become of each row, and applies nothing.",
    }),
  externalId: externalId.optional(),
});

export const importRecord = z
  .strictObject({
    ...stored,
    kind: importKind,
    dryRun: z.boolean(),
    status: importStatus.meta({
      description: "applied: all rows; refused: none, since some were; tried: none, by dryRun.",
    }),
    counts: z
      .strictObject({
        recorded: z.int().meta({ description: "Rows that count from now on." }),
        held: z.int().meta({ description: "Readings that were recorded and wait for a look." }),
        repeated: z.int().meta({ description: "Rows of what was there already." }),
        refused: z.int(),
        reported: z.int().meta({
          description:
            "What is told row by row: the first 1,000 of each outcome that needs a look; beyond them rows are counted alone.",
        }),
      })
      .meta({ description: "Of a refused or a tried import: what would have become of the rows." }),
    digest: z.string().meta({ description: "SHA-256 of the body, in hexadecimal." }),
    externalId: z.string().nullable(),
  })
  .meta({ id: "Import", description: "A file that was posted: all its rows applied, or none." });

export const importRow = z
  .strictObject({
    line: z.int().meta({ description: "Line of the file on which the row begins, from 1." }),
    outcome,
    column: z.string().nullable().meta({ description: "Where the fault lies, if in one column." }),
    detail: z.string().meta({ description: "What would be right, or why the reading is held." }),
    resourceId: id
      .nullable()
      .meta({ description: "The reading, vehicle or work record that is there." }),
  })
  .meta({ id: "ImportRow", description: "A row of an import that needs a look." });

export const importParams = z.strictObject({ importId: id });

export const importList = pageQuery.extend({
  kind: importKind.optional(),
  status: importStatus.optional(),
  externalId: externalId.optional(),
  updatedAfter: instant.optional(),
});

export const importRowList = pageQuery.extend({ outcome: outcome.optional() });
