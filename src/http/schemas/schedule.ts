import { z } from "zod";
import { externalId, id, page, pageQuery, text, updatedAfter } from "./common.ts";
import { stored } from "./people.ts";
import { checkKind, statedWork, taskFields } from "./task.ts";

const { lastWork: _lastWork, paused: _paused, severe: _severe, ...shared } = taskFields;

/** A shared schedule stands on machines of either unit: a bare figure would be another distance on each. */
function checkUnits(
  line: Record<"first" | "every" | "early" | "late", { distance?: unknown } | null>,
  context: z.RefinementCtx,
): void {
  for (const name of ["first", "every", "early", "late"] as const) {
    if (typeof line[name]?.distance !== "number") continue;
    context.addIssue({
      code: "custom",
      path: [name, "distance"],
      message: 'must say its unit, as in { "km": 6000 } or { "km": 6000, "mi": 4000 }',
    });
  }
}

const lineBody = z
  .strictObject({ id: id.optional(), ...shared })
  .superRefine(checkKind)
  .superRefine(checkUnits)
  .meta({
    id: "ScheduleTaskBody",
    description:
      "A task as it stands on each machine. Its last work, a pause and severe use are each machine's own. A distance must say its unit: a bare number would be another distance on each machine, and is refused.",
  });

export const scheduleBody = z
  .strictObject({
    name: text(200).meta({ example: "Single 150, 2025 on" }),
    notes: text(10_000).nullable().default(null),
    externalId: externalId.nullable().default(null),
    tasks: z
      .array(lineBody)
      .min(1)
      .max(200)
      .superRefine((lines, context) => {
        const titles = lines.map(({ title }) => title.trim().toLowerCase());
        for (const [index, title] of titles.entries()) {
          if (titles.indexOf(title) === index) continue;
          const message = "must be another title than those before it";
          context.addIssue({ code: "custom", path: [index, "title"], message });
        }
      }),
  })
  .meta({ id: "ScheduleBody" });

export const schedule = z
  .strictObject({
    ...stored,
    name: z.string(),
    notes: z.string().nullable(),
    externalId: z.string().nullable(),
    tasks: z.array(z.strictObject({ ...shared, id }).meta({ id: "ScheduleTask" })),
  })
  .meta({ id: "Schedule", description: "Tasks that many machines share." });

export const schedulePage = page(schedule, "SchedulePage");

export const scheduleParams = z.strictObject({ scheduleId: id });

export const scheduleList = pageQuery.extend({
  externalId: externalId.optional(),
  updatedAfter,
});

export const putOnBody = z
  .strictObject({
    vehicleIds: z
      .array(id)
      .min(1)
      .max(1000)
      .refine((ids) => new Set(ids).size === ids.length, "must name each vehicle once"),
    lastWork: statedWork.default("unknown").meta({
      description:
        'When the tasks that are new to a machine were last done; "never" for machines that are new themselves.',
    }),
  })
  .meta({ id: "PutOnBody" });

export const putOn = z
  .strictObject({
    vehicles: z.int(),
    tasksAdded: z.int(),
    tasksKept: z.int().meta({ description: "Tasks that take over what the schedule says." }),
    tasksRemoved: z.int().meta({ description: "Tasks of the schedule that stood there before." }),
  })
  .meta({ id: "PutOn", description: "What became of the tasks of all the machines." });
