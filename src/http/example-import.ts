import { exampleStored } from "./examples.ts";

export const exampleImport = {
  ...exampleStored,
  kind: "readings",
  dryRun: false,
  status: "refused",
  counts: { recorded: 411, held: 1, repeated: 0, refused: 1, reported: 2 },
  digest: "9f86d081884c7d659a2feaa0c55ad015a3bf4f1b2b0b822cd15d6c15b0f00a08",
  externalId: "april",
} as const;

export const exampleImportRow = {
  line: 17,
  outcome: "refused",
  column: "value",
  detail: "must be a number",
  resourceId: null,
} as const;
