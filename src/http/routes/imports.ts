import { z } from "zod";
import { findOrRefuse } from "../../application/find-or-refuse.ts";
import { importAccount } from "../../application/imports/import-account.ts";
import { importReadings } from "../../application/imports/import-readings.ts";
import { type ImportRequest, visibleImports } from "../../application/imports/import-request.ts";
import { importVehicles } from "../../application/imports/import-vehicles.ts";
import { importWork } from "../../application/imports/import-work.ts";
import type { Replay, Transaction } from "../../application/ports.ts";
import type { Import } from "../../application/records.ts";
import { Refusal } from "../../domain/failure/failure.ts";
import { EMPTY_ACCOUNT, JSON_LINES } from "../account-file.ts";
import { type Caller, holdsScope, type Scope } from "../caller.ts";
import { exampleImport, exampleImportRow } from "../example-import.ts";
import { EXAMPLE } from "../examples.ts";
import { readAccountFile } from "../incoming/read-account-file.ts";
import { readTable } from "../incoming/read-table.ts";
import { READING_COLUMNS, READING_NEEDS, readingRow } from "../incoming/reading-rows.ts";
import { rowsOf } from "../incoming/rows-of.ts";
import { VEHICLE_COLUMNS, VEHICLE_NEEDS, vehicleRow } from "../incoming/vehicle-rows.ts";
import { WORK_COLUMNS, WORK_NEEDS, workRow } from "../incoming/work-rows.ts";
import { pageAnswer, pageAsked } from "../lists.ts";
import { withDigest } from "../plugins/idempotency.ts";
import { shownImport } from "../present/import.ts";
import type { Answer, Incoming } from "../route.ts";
import { page } from "../schemas/common.ts";
import {
  importList,
  importParams,
  importQuery,
  importRecord,
  importRow,
  importRowList,
} from "../schemas/import.ts";
import { defineRoute, inAccount, type Services } from "../services.ts";
import { WireRefusal } from "../wire-failure.ts";

const tag = "Import and export";
const CSV = "text/csv";
const MOST_BYTES = 1_073_741_824;

const shown = { description: "The import.", schema: importRecord, example: exampleImport };

const post = defineRoute({
  operationId: "importFile",
  method: "POST",
  path: "/v1/imports",
  tag,
  summary: "Import a file",
  description: `Takes in all rows of a file, or none: where one row is refused, nothing is applied, and the report says which and why. The file is CSV in UTF-8 (RFC 4180); its first line names the columns, in any order, and a column that is not known is refused at once.

- \`readings\`: ${READING_COLUMNS.join(", ")}. Each is judged as one that is posted alone, machine by machine in order of time, with the one that follows it in the file.
- \`vehicles\`: ${VEHICLE_COLUMNS.join(", ")}.
- \`work\`: ${WORK_COLUMNS.join(", ")}. Tasks by their titles or ids, with "; " between them; a cost as "12.50 EUR"; who did it by a member's id or a name.
- \`account\`: what the export of an account answered, as application/x-ndjson, into an account that is empty but for its owner and keys. All ids stay; the owner of the file takes the place of the owner that is there; the account's name, a sandbox's clock, API keys and the secrets of webhook endpoints are those of the new place. Reminders and messages keep their state, so that what was sent is not sent again; stop the account that was exported, or both go on.

A machine is named by vehicleId or vehicleExternalId. An empty cell is a field left out. What is there already is counted as repeated, so that a file can simply be posted again. The import's own externalId answers 200 with the import that was applied under it; one that was refused or tried leaves it free. With an Idempotency-Key the whole file is read before a repeat is answered. Readings need the scope \`readings:write\`, vehicles and work \`write\`, an account \`admin\` beside it. An account works on two imports at a time.`,
  access: { scope: "readings:write" },
  creates: "folded",
  versioned: true,
  query: importQuery,
  takes: {
    [CSV]: {
      schema: z.string(),
      example: `vehicleExternalId,value,at\r\nharbour-04,5210,${EXAMPLE.at}\r\n`,
    },
    [JSON_LINES]: { schema: z.string(), example: EMPTY_ACCOUNT },
  },
  bodyLimit: MOST_BYTES,
  problems: ["conflict", "requestTimeout"],
  answers: {
    201: { ...shown, description: "The import: applied, refused or tried." },
    200: { ...shown, description: "The same file was applied under this externalId before." },
  },
  async handle(call) {
    const { query, caller, deps, incoming, idempotency } = call;
    if (incoming === null) throw new Error("An import needs a body.");
    return takeIn(incoming, query.kind, caller, deps, {
      ...{ caller, dryRun: query.dryRun, externalId: query.externalId ?? null },
      repeatable: (digest) => idempotency && withDigest(idempotency, digest),
      answer: ({ import: done, isNew }): Answer => ({
        status: isNew ? 201 : 200,
        location: `/v1/imports/${done.id}`,
        body: shownImport(done),
        version: done.version,
      }),
    });
  },
});

const SCOPES: Record<Import["kind"], Scope> = {
  ...{ readings: "readings:write", vehicles: "write", work: "write", account: "admin" },
};

function takeIn(
  { bytes, mediaType }: Incoming,
  kind: Import["kind"],
  caller: Caller,
  deps: Services,
  request: ImportRequest<Answer>,
): Promise<Answer | Replay> {
  requireScope(caller, SCOPES[kind]);
  requireType(mediaType, kind === "account" ? JSON_LINES : CSV);
  switch (kind) {
    case "readings":
      return importReadings(
        rowsOf(readTable(bytes, READING_COLUMNS, READING_NEEDS), readingRow),
        request,
        deps,
      );
    case "vehicles":
      return importVehicles(
        rowsOf(readTable(bytes, VEHICLE_COLUMNS, VEHICLE_NEEDS), vehicleRow),
        request,
        deps,
      );
    case "work":
      return importWork(rowsOf(readTable(bytes, WORK_COLUMNS, WORK_NEEDS), workRow), request, deps);
    case "account":
      return importAccount(readAccountFile(bytes), request, deps);
  }
}

function requireScope(caller: Caller, scope: Scope): void {
  if (holdsScope(caller, scope)) return;
  throw new Refusal({ kind: "forbidden", need: `the scope ${scope}` });
}

/** @throws WireRefusal unsupportedMediaType */
function requireType(mediaType: string, wanted: string): void {
  if (mediaType === wanted) return;
  throw new WireRefusal({ kind: "unsupportedMediaType", accepted: [wanted] });
}

const list = defineRoute({
  operationId: "listImports",
  method: "GET",
  path: "/v1/imports",
  tag,
  summary: "List imports",
  description:
    "Imports, newest first, on (createdAt, id). A rider, or a key that is bound to vehicles, sees those that the same key posted.",
  access: { scope: "read" },
  query: importList,
  answers: {
    200: {
      description: "A page of imports.",
      schema: page(importRecord, "ImportPage"),
      example: { items: [exampleImport], nextCursor: null },
    },
  },
  async handle(call) {
    const { limit: _limit, cursor: _cursor, ...asked } = call.query;
    const filter = { ...asked, ...visibleImports(call.caller) };
    const found = await inAccount(call, (tx) => tx.imports.list(filter, pageAsked(call)));
    return pageAnswer(call, found, shownImport);
  },
});

async function findImport(tx: Transaction, caller: Caller, id: string): Promise<Import> {
  const found = await findOrRefuse(tx.imports, id, "import");
  const { keyId } = visibleImports(caller);
  if (keyId === undefined || keyId === found.keyId) return found;
  throw new Refusal({ kind: "notFound", resource: "import" });
}

const get = defineRoute({
  operationId: "getImport",
  method: "GET",
  path: "/v1/imports/{importId}",
  tag,
  summary: "One import",
  description: "What became of a file, and of how many of its rows.",
  access: { scope: "read" },
  versioned: true,
  params: importParams,
  answers: { 200: shown },
  async handle(call) {
    const { params, caller } = call;
    const found = await inAccount(call, (tx) => findImport(tx, caller, params.importId));
    return { status: 200, body: shownImport(found), version: found.version };
  },
});

const rows = defineRoute({
  operationId: "listImportRows",
  method: "GET",
  path: "/v1/imports/{importId}/rows",
  tag,
  summary: "The rows of an import that need a look",
  description:
    "Rows that were refused, held or repeated, in the order of their lines; the first 1,000 of each outcome. A row with several faults is told once for each.",
  access: { scope: "read" },
  params: importParams,
  query: importRowList,
  answers: {
    200: {
      description: "A page of rows.",
      schema: page(importRow, "ImportRowPage"),
      example: { items: [exampleImportRow], nextCursor: null },
    },
  },
  async handle(call) {
    const { params, caller, query } = call;
    const found = await inAccount(call, async (tx) => {
      const { id } = await findImport(tx, caller, params.importId);
      return tx.importRows(id, query.outcome, pageAsked(call));
    });
    return pageAnswer(call, found, (row) => row);
  },
});

export const importRoutes = [post, list, get, rows];
