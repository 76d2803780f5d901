import type { Import } from "../../application/records.ts";
import { shownStored } from "./shown.ts";

export function shownImport(row: Import) {
  const { kind, dryRun, status, counts, digest, externalId } = row;
  return shownStored(row, { kind, dryRun, status, counts, digest, externalId });
}
