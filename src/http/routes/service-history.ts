import { z } from "zod";
import { historyView, workOf } from "../../application/service-history.ts";
import { statusOf } from "../../application/vehicle-status.ts";
import { serviceHistoryCsv } from "../../render/csv.ts";
import { PAGE_STYLE_HASH } from "../../render/pages/layout.ts";
import { renderServiceHistory } from "../../render/service-history.ts";
import { exampleWork } from "../example-task.ts";
import { EXAMPLE, exampleVehicle } from "../examples.ts";
import { pageSecurity } from "../plugins/security-headers.ts";
import { shownVehicle } from "../present/vehicle.ts";
import { shownWork } from "../present/work-record.ts";
import { plainDate } from "../schemas/time.ts";
import { vehicle, vehicleParams } from "../schemas/vehicle.ts";
import { workRecord } from "../schemas/work-record.ts";
import { defineRoute, inAccount } from "../services.ts";
import { assessedMachine } from "./tasks.ts";

const history = z
  .strictObject({ vehicle, printedOn: plainDate, records: z.array(workRecord) })
  .meta({ id: "ServiceHistory", description: "All work on a machine, oldest first." });

const get = defineRoute({
  operationId: "getServiceHistory",
  method: "GET",
  path: "/v1/vehicles/{vehicleId}/service-history",
  tag: "Work record",
  summary: "The service history of a machine",
  description:
    "All work done on a machine, oldest first, amended and voided records among them with their reasons. As JSON, as CSV (RFC 4180, one line a finding or a record without any), or as a page to print, by `Accept`.",
  access: { scope: "read" },
  params: vehicleParams,
  problems: ["notAcceptable"],
  answers: {
    200: {
      description: "The history.",
      schema: history,
      example: {
        vehicle: exampleVehicle,
        printedOn: EXAMPLE.at.slice(0, 10),
        records: [exampleWork],
      },
      media: {
        "text/csv": {
          schema: z.string(),
          example: "doneOn,reading,unit\r\n2026-05-18,1012,km\r\n",
        },
        "text/html": {
          schema: z.string(),
          example: "<!doctype html><title>Service history</title>",
        },
      },
    },
  },
  async handle(call) {
    const { params, caller, deps } = call;
    const type = call.accepts(["application/json", "text/csv", "text/html"]);
    return inAccount(call, async (tx) => {
      const { machine, today } = await assessedMachine(tx, caller, params.vehicleId, deps);
      const records = await workOf(tx, params.vehicleId);
      if (type === "application/json") {
        const { vehicle } = machine;
        return {
          status: 200,
          body: {
            vehicle: shownVehicle({ vehicle, status: statusOf(vehicle, machine.layUps, today) }),
            printedOn: today,
            records: records.map((record) => shownWork(record, caller)),
          },
        };
      }
      const view = await historyView(tx, machine, records, caller, today);
      if (type === "text/csv") {
        return { status: 200, type: "text/csv; charset=utf-8", body: serviceHistoryCsv(view) };
      }
      const headers = pageSecurity(PAGE_STYLE_HASH);
      return {
        status: 200,
        type: "text/html; charset=utf-8",
        headers,
        body: renderServiceHistory(view),
      };
    });
  },
});

export const serviceHistoryRoutes = [get];
