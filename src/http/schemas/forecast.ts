import { z } from "zod";
import { id, pageQuery, queryInteger, text } from "./common.ts";
import { due, taskForecast, taskState } from "./task.ts";
import { instant, plainDate } from "./time.ts";

const quantile = z.strictObject({ p: z.number(), value: z.number() });

const spread = z
  .strictObject({ mean: z.number(), quantiles: z.array(quantile) })
  .meta({ id: "Spread", description: "An estimate with its spread." });

export const meterForecast = z
  .strictObject({
    unit: z.enum(["km", "mi", "h"]),
    now: spread
      .nullable()
      .meta({ description: "What the machine has run in all today; null without a reading." }),
    shown: spread.nullable().meta({ description: "What the present instrument shows today." }),
    perDay: spread.nullable().meta({ description: "Use per day over the next 30 days." }),
    parked: z.number().nullable().meta({ description: "P(the machine is not in use for now)." }),
  })
  .meta({ id: "MeterForecast" });

export const dueTask = z
  .strictObject({
    vehicleId: id,
    vehicleName: z.string(),
    taskId: id,
    title: z.string(),
    state: taskState,
    occurrence: z.string().nullable(),
    due: due.nullable(),
    forecast: taskForecast.nullable(),
  })
  .meta({ id: "DueTask", description: "A task of a machine and when it falls due." });

export const machineForecast = z
  .strictObject({
    vehicleId: id,
    asOf: instant,
    distance: meterForecast,
    hours: meterForecast.nullable(),
    tasks: z.array(dueTask),
  })
  .meta({ id: "MachineForecast" });

export const dueQuery = pageQuery
  .extend({
    withinDays: queryInteger(1, 730)
      .default(60)
      .meta({
        override: { type: "integer", minimum: 1, maximum: 730, default: 60 },
        description: "The window that begins today.",
      }),
    from: plainDate
      .optional()
      .meta({ description: "Where the window begins; today, if not told." }),
    to: plainDate.optional().meta({ description: "Where it ends, in place of withinDays." }),
    vehicleId: id.optional(),
    group: text(200).optional(),
    state: taskState.optional(),
  })
  .refine(({ from, to }) => from === undefined || to === undefined || from <= to, {
    path: ["to"],
    message: "must not lie before from",
  });

export const dueList = z
  .strictObject({
    from: plainDate,
    to: plainDate,
    items: z.array(
      dueTask.extend({
        probability: z.number().meta({ description: "P(it is due by the end of the window)." }),
      }),
    ),
    nextCursor: z.string().nullable(),
  })
  .meta({ id: "DueList" });
