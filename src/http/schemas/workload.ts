import { z } from "zod";
import { id, queryInteger, text } from "./common.ts";
import { plainDate } from "./time.ts";

export const workloadQuery = z.strictObject({
  weeks: queryInteger(1, 53)
    .default(12)
    .meta({
      override: { type: "integer", minimum: 1, maximum: 53, default: 12 },
      description: "How many weeks, this one among them.",
    }),
  vehicleId: id.optional(),
  group: text(200).optional(),
});

const load = {
  jobs: z.number().meta({ description: "How many are expected." }),
  minutes: z.number().meta({ description: "How long they take, as far as their tasks say." }),
  untimed: z.number().meta({ description: "How many of them no task says a time for." }),
};

const week = z
  .strictObject({
    week: z.string().meta({ description: "Year and week by ISO 8601.", example: "2026-W18" }),
    from: plainDate,
    to: plainDate.meta({ description: "Its last day." }),
    ...load,
    likely: z
      .strictObject({ least: z.int(), most: z.int() })
      .meta({ description: "Between which numbers of jobs it lies with a probability of 80 %." }),
  })
  .meta({ id: "WeekOfWork" });

export const workload = z
  .strictObject({
    waiting: z.strictObject(load).meta({ description: "What has come due already." }),
    weeks: z.array(week),
  })
  .meta({ id: "Workload", description: "The work to expect, week by week." });
