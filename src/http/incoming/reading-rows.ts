import { z } from "zod";
import type { ReadingRow } from "../../application/imports/import-readings.ts";
import type { RowFault } from "../../application/imports/import-report.ts";
import { externalId, id } from "../schemas/common.ts";
import { readingBody, readingSource } from "../schemas/reading.ts";
import { checked, numberIn } from "./cells.ts";
import type { Cells } from "./read-table.ts";

export const READING_COLUMNS = [
  "vehicleId",
  "vehicleExternalId",
  "value",
  "at",
  "unit",
  "meter",
  "source",
  "note",
  "externalId",
] as const;

export const READING_NEEDS = ["value"];

/** A million rows are checked: to look for unknown fields, which no row has, takes half as long again. */
const row = z.object({
  ...readingBody.shape,
  vehicleId: id.optional(),
  vehicleExternalId: externalId.optional(),
  source: readingSource.default("import"),
});

/** A row of readings, checked as a reading that is posted alone. */
export function readingRow(cells: Cells): ReadingRow | { faults: RowFault[] } {
  const [vehicleId, vehicleExternalId, value, at, unit, meter, source, note, ownId] = cells;
  const read = checked(row, {
    ...{ vehicleId, vehicleExternalId, value: numberIn(value), at, unit, meter, source, note },
    externalId: ownId,
  });
  if ("faults" in read) return read;
  return { ...read.value, vehicleId: read.value.vehicleId, vehicleExternalId };
}
