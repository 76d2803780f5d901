import { z } from "zod";
import { requireRight } from "../../application/caller.ts";
import { exportRows } from "../../application/exports/export-rows.ts";
import type { ExportKind } from "../../application/exports/ports.ts";
import { EMPTY_ACCOUNT, JSON_LINES } from "../account-file.ts";
import { EXAMPLE } from "../examples.ts";
import { READING_COLUMNS } from "../incoming/reading-rows.ts";
import { VEHICLE_COLUMNS } from "../incoming/vehicle-rows.ts";
import { WORK_COLUMNS } from "../incoming/work-rows.ts";
import { asCsv, asJsonLines, begun } from "../outgoing-parts.ts";
import { defineRoute } from "../services.ts";

const tag = "Import and export";
const CSV = "text/csv";

const BREAKS_OFF =
  "What is sent shows the account as it was at one moment. Should it break off, the connection ends without the last chunk of the transfer coding (RFC 9112), by which the caller knows.";

function exportOf(
  kind: ExportKind,
  operationId: string,
  columns: readonly string[],
  words: { summary: string; description: string; example: string },
) {
  return defineRoute({
    operationId,
    method: "GET",
    path: `/v1/exports/${kind}`,
    tag,
    summary: words.summary,
    description: `${words.description} The columns are those that an import takes: ${columns.join(", ")}. A text that a spreadsheet would run as a formula is disarmed by an apostrophe, which the import takes away again. ${BREAKS_OFF}`,
    access: { scope: "read" },
    answers: {
      200: {
        description: "The rows as CSV (RFC 4180).",
        media: { [CSV]: { schema: z.string(), example: words.example } },
      },
    },
    async handle({ caller, deps }) {
      const rows = exportRows(caller, kind, deps);
      return {
        status: 200,
        type: `${CSV}; charset=utf-8`,
        stream: await begun(asCsv(rows, columns)),
      };
    },
  });
}

const readings = exportOf("readings", "exportReadings", READING_COLUMNS, {
  summary: "Export readings",
  description:
    "All readings of the machines that the key sees, machine by machine in order of time; superseded ones are left out, and held ones are held again where they are imported.",
  example: `vehicleId,vehicleExternalId,value,at,unit,meter,source,note,externalId\r\n${EXAMPLE.vehicleId},harbour-04,5210,${EXAMPLE.at},km,distance,rider,,\r\n`,
});

const vehicles = exportOf("vehicles", "exportVehicles", VEHICLE_COLUMNS, {
  summary: "Export vehicles",
  description:
    "The machines that the key sees, the oldest first. One without an externalId has its id in that place, by which an import knows it again.",
  example: "name,kind,meterUnit,externalId\r\nSingle 150,motorcycle,km,harbour-04\r\n",
});

const work = exportOf("work", "exportWork", WORK_COLUMNS, {
  summary: "Export work records",
  description:
    "The work on the machines that the key sees, machine by machine in order of time, as it stands; void records are left out, and so are findings and parts, which the export of the account has. Tasks stand there by their titles, or by their ids where a title does not say which. A record without an externalId has its id in that place, by which an import knows it again. Costs are for those who may see them.",
  example: `vehicleExternalId,doneAt,tasks,by,cost\r\nharbour-04,${EXAMPLE.at},Engine oil,Robin,12.50 EUR\r\n`,
});

const account = defineRoute({
  operationId: "exportAccount",
  method: "GET",
  path: "/v1/exports/account",
  tag,
  summary: "Export the account",
  description: `Everything of the account as lines of JSON: the first tells the format's version and the account, each of the others one row with what it is a row of, and the last, \`{"end":true,"rows":n}\`, that the file is whole. API keys are left out, since nobody has their secrets. An import of kind \`account\` takes it into an empty account. ${BREAKS_OFF}`,
  access: { scope: "admin" },
  answers: {
    200: {
      description: "The account, line by line.",
      media: {
        [JSON_LINES]: {
          schema: z.string(),
          example: EMPTY_ACCOUNT,
        },
      },
    },
  },
  async handle({ caller, deps }) {
    requireRight(caller, "administer");
    const lines = asJsonLines(deps.database.exports.account(caller.accountId));
    return { status: 200, type: JSON_LINES, stream: await begun(lines) };
  },
});

export const exportRoutes = [readings, vehicles, work, account];
