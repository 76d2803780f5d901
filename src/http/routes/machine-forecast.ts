import { z } from "zod";
import { chartView } from "../../application/machine/chart-view.ts";
import { CHART_STYLE_HASH, renderForecastChart } from "../../render/forecast-chart.ts";
import { exampleDueTask, exampleMeterForecast } from "../example-forecast.ts";
import { EXAMPLE } from "../examples.ts";
import { pageSecurity } from "../plugins/security-headers.ts";
import { shownForecast } from "../present/forecast.ts";
import { machineForecast } from "../schemas/forecast.ts";
import { vehicleParams } from "../schemas/vehicle.ts";
import { defineRoute, inAccount } from "../services.ts";
import { assessedMachine } from "./tasks.ts";

const get = defineRoute({
  operationId: "getForecast",
  method: "GET",
  path: "/v1/vehicles/{vehicleId}/forecast",
  tag: "Forecast",
  summary: "Use, meter today and due dates of a machine",
  description:
    "What the meter shows today and the use per day as distributions, and for each task the quantiles of the date on which its due point will be reached. A machine with fewer than twelve distance readings is expected to be used as the others of its kind in the account are.",
  access: { scope: "read" },
  params: vehicleParams,
  answers: {
    200: {
      description: "The forecast as of now.",
      schema: machineForecast,
      example: {
        vehicleId: EXAMPLE.vehicleId,
        asOf: EXAMPLE.at,
        distance: exampleMeterForecast,
        hours: null,
        tasks: [exampleDueTask],
      },
    },
  },
  async handle(call) {
    const { params, caller, deps } = call;
    const assessed = await inAccount(call, (tx) =>
      assessedMachine(tx, caller, params.vehicleId, deps),
    );
    return { status: 200, body: shownForecast(assessed) };
  },
});

const chart = defineRoute({
  operationId: "drawForecast",
  method: "GET",
  path: "/v1/vehicles/{vehicleId}/forecast.svg",
  tag: "Forecast",
  summary: "The forecast as a drawing",
  description:
    "Readings, held ones marked, the fan of what is to come, due lines with their date ranges, lay-ups hatched. No script; reads at 360 px and in the dark.",
  access: { scope: "read" },
  params: vehicleParams,
  answers: {
    200: {
      description: "The drawing.",
      media: {
        "image/svg+xml": {
          schema: z.string(),
          example: "<svg xmlns='http://www.w3.org/2000/svg'/>",
        },
      },
    },
  },
  async handle(call) {
    const { params, caller, deps } = call;
    const assessed = await inAccount(call, (tx) =>
      assessedMachine(tx, caller, params.vehicleId, deps),
    );
    const headers = pageSecurity(CHART_STYLE_HASH);
    const body = renderForecastChart(chartView(assessed));
    return { status: 200, type: "image/svg+xml", headers, body };
  },
});

export const machineForecastRoutes = [get, chart];
