import { z } from "zod";
import { id, limits, pageQuery, text, updatedAfter, warnings } from "./common.ts";
import { point } from "./finding.ts";
import { stored } from "./people.ts";
import { plainDate } from "./time.ts";

const lines = (longest: number) => z.array(text(longest)).max(100).default([]);

const part = z.union([
  text(300),
  z.strictObject({ name: text(300), number: text(100).optional(), quantity: text(100).optional() }),
]);

const fluid = z.union([
  text(300),
  z.strictObject({ name: text(300), grade: text(100).optional(), quantity: text(100).optional() }),
]);

const limitName = z.enum(["distance", "months", "hours"]);

export const severe = z
  .strictObject({
    factor: z.number().gt(0).max(1),
    reason: text(500),
    limits: z.array(limitName).min(1).max(3),
  })
  .meta({ id: "SevereUse", description: "Shortens the limits named by the factor." });

/** A window may be closed: 0 is a limit here. */
const windowLimits = z
  .strictObject({
    distance: z
      .union([
        z.number().min(0).max(10_000_000),
        z.strictObject({ km: z.number().min(0).optional(), mi: z.number().min(0).optional() }),
      ])
      .optional(),
    months: z.int().min(0).max(1200).optional(),
    hours: z.number().min(0).max(1_000_000).optional(),
  })
  .meta({ id: "WindowLimits" });

export const statedWork = z.union([
  z.enum(["never", "unknown"]),
  z.strictObject({
    on: plainDate,
    reading: z.number().min(0).max(10_000_000).optional(),
    hours: z.number().min(0).max(1_000_000).optional(),
  }),
]);

const lead = z
  .strictObject({
    days: z.int().min(0).max(365).optional(),
    distance: z.number().positive().max(100_000).optional(),
  })
  .meta({ id: "Lead" });

const storedPoint = point.safeExtend({ id: id.optional() });

export const taskFields = {
  title: text(300).meta({ example: "Valve clearance" }),
  kind: z.enum(["recurring", "once", "fixedDate"]).default("recurring"),
  first: limits.nullable().default(null).meta({ description: "The run-in: once, before `every`." }),
  every: limits.nullable().default(null),
  on: plainDate.nullable().default(null).meta({ description: "The date of a fixedDate task." }),
  whichever: z.enum(["first", "last"]).default("first"),
  repeatFrom: z.enum(["completion", "marks"]).default("completion"),
  countsFrom: z.enum(["work", "manufacture"]).default("work"),
  severe: severe.nullable().default(null),
  early: windowLimits.nullable().default(null).meta({
    description: "How much early the work still counts; 10 % of the interval, if not told.",
  }),
  late: windowLimits.nullable().default(null),
  lead: lead.nullable().default(null).meta({ description: "Stands before the member's own lead." }),
  paused: z.boolean().default(false),
  minutes: z.number().positive().max(100_000).nullable().default(null),
  access: lines(300),
  steps: lines(2000),
  tools: lines(300),
  parts: z.array(part).max(100).default([]),
  fluids: z.array(fluid).max(100).default([]),
  cautions: lines(2000),
  closingChecks: lines(2000),
  points: z.array(storedPoint).max(200).default([]),
  lastWork: statedWork.default("unknown").meta({
    description:
      "When it was last done before anything was logged here; its reading sets the due point and is no reading of the meter.",
  }),
};

interface KindAndLimits {
  kind: "recurring" | "once" | "fixedDate";
  on: string | null;
  first: object | null;
  every: object | null;
}

/** Which limits a task has follows from its kind. */
export function checkKind(task: KindAndLimits, context: z.RefinementCtx): void {
  const wrong = (path: string, message: string) =>
    context.addIssue({ code: "custom", path: [path], message });
  if (task.kind === "fixedDate") {
    if (task.on === null) wrong("on", "must be told for a fixedDate task");
    if (task.first !== null) wrong("first", "must be left out of a fixedDate task");
    return;
  }
  if (task.on !== null) wrong("on", "belongs to a fixedDate task alone");
  if (task.first === null && task.every === null) {
    wrong(task.kind === "once" ? "first" : "every", "must have at least one limit");
  }
  if (task.kind === "recurring" && task.every === null) {
    wrong("every", "must be told for a recurring task");
  }
}

export const taskBody = z.strictObject(taskFields).superRefine(checkKind).meta({ id: "TaskBody" });

const dueLimit = z.enum(["distance", "hours", "date"]);

const figures = {
  distance: z.number().optional(),
  hours: z.number().optional(),
  date: plainDate.optional(),
};

export const due = z
  .strictObject({
    ...figures,
    by: dueLimit.optional().meta({ description: "The limit that decides, where it can be told." }),
    why: z.strictObject({
      counted: z.enum(["fromWork", "fromStart", "mark", "fixedDate", "manufacture"]),
      severeFactor: z.number().optional(),
      uncounted: z.array(limitName),
      knownFrom: z.enum(["calendar", "reading", "forecast"]).optional(),
    }),
  })
  .meta({ id: "Due", description: "Where the task next falls due, limit by limit." });

export const taskForecast = z
  .strictObject({
    quantiles: z.array(z.strictObject({ p: z.number(), on: plainDate.nullable() })),
    likely: z.strictObject({
      from: plainDate.nullable(),
      to: plainDate.nullable(),
      most: plainDate.nullable(),
    }),
    withinLead: z.number().meta({ description: "P(reached within the lead)." }),
  })
  .meta({
    id: "TaskForecast",
    description: "When the due point will be reached; null: too far to tell.",
  });

export const taskState = z.enum(["unknown", "later", "ahead", "due", "overdue", "done", "paused"]);

const window = z.strictObject({
  early: z.strictObject(figures),
  late: z.strictObject(figures),
});

export const task = z
  .strictObject({
    ...stored,
    vehicleId: id,
    ...taskFields,
    first: limits.nullable(),
    every: limits.nullable(),
    points: z.array(point.safeExtend({ id })),
    lastWork: z.union([
      z.enum(["never", "unknown"]),
      z.strictObject({
        on: plainDate,
        reading: z.number().optional(),
        hours: z.number().optional(),
        workRecordId: id.optional(),
      }),
    ]),
    scheduleId: id.nullable().meta({
      description: "The shared schedule that it stands here by; null for one of the machine's own.",
    }),
    state: taskState,
    due: due.nullable(),
    occurrence: z.string().nullable(),
    forecast: taskForecast.nullable(),
    permittedWindow: window.nullable(),
    warnings,
  })
  .meta({
    id: "Task",
    description: "One line of a machine's maintenance schedule, as it stands today.",
  });

export const taskParams = z.strictObject({ vehicleId: id, taskId: id });

export const taskList = pageQuery.extend({
  state: taskState.optional(),
  updatedAfter,
});

/** A task that comes next, as an answer about readings or work tells it. */
export const nextDue = z
  .strictObject({
    taskId: id,
    title: z.string(),
    state: taskState,
    due: due.nullable(),
    forecast: taskForecast.nullable(),
  })
  .meta({ id: "NextDue" });
