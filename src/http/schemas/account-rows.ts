import { z } from "zod";
import type { AccountResource } from "../../application/exports/account-resources.ts";
import { distanceUnit, email, externalId, id, locale, money, text } from "./common.ts";
import { condition, measurement, point, verdict } from "./finding.ts";
import { memberBody, reminderPreferences, role } from "./people.ts";
import { holdReason, readingSource, readingStatus, readingUnit } from "./reading.ts";
import { taskFields } from "./task.ts";
import { instant, plainDate, timeZone } from "./time.ts";
import { vehicleBody } from "./vehicle.ts";
import { endpointBody } from "./webhook.ts";
import { performedBy, readingAtWork, workFields } from "./work-record.ts";

const marks = { id, version: z.int().min(1), createdAt: instant, updatedAt: instant };
const ownId = { externalId: externalId.nullable() };
const meter = z.enum(["distance", "hours"]);
const window = z.enum(["within", "outside"]).nullable();
const figure = z.number().min(-1e9).max(1e9);
const words = z.string().max(100_000).nullable();
const anything = z.record(z.string(), z.json());

const member = z.strictObject({
  ...marks,
  ...ownId,
  name: memberBody.shape.name,
  email,
  emailConfirmedAt: instant.nullable(),
  emailSuppressed: words,
  unsubscribedAt: instant.nullable(),
  role,
  locale,
  timeZone,
  unit: distanceUnit,
  reminders: z.strictObject(reminderPreferences.shape),
});

const { lastWork, ...planned } = taskFields;
const {
  paused: _paused,
  severe: _severe,
  kind,
  first,
  every,
  on,
  early,
  late,
  ...beside
} = planned;
const { whichever, repeatFrom, countsFrom, ...shared } = beside;
const storedPoints = z.array(point.safeExtend({ id })).max(200);
const limits = { first: first.optional(), every: every.optional(), on: on.optional() };
const plan = { ...limits, early: early.optional(), late: late.optional(), kind, whichever };

const schedule = z.strictObject({
  ...marks,
  ...ownId,
  name: text(200),
  notes: words,
  lines: z.array(
    z.strictObject({
      ...shared,
      id,
      points: storedPoints,
      plan: z.strictObject({ ...plan, repeatFrom, countsFrom }),
    }),
  ),
});

const { scheduleId, responsibleMemberId: _responsible, ...machine } = vehicleBody.shape;
const vehicle = z.strictObject({
  ...marks,
  ...machine,
  scheduleId,
  responsibleMemberId: id,
  replanAt: instant.nullable(),
  plannedBy: words,
});

const ofVehicle = { ...marks, vehicleId: id };

const meterChange = z.strictObject({
  ...{ ...ofVehicle, meter, at: instant, before: figure.nullable(), after: figure, note: words },
});

const layUp = z.strictObject({
  ...{ ...ofVehicle, from: plainDate, to: plainDate.nullable(), reason: words },
});

const told = z.looseObject({
  occurrence: z.string(),
  from: z.number().nullable().optional(),
  most: z.number().nullable().optional(),
});

const task = z.strictObject({
  ...ofVehicle,
  ...planned,
  points: storedPoints,
  statedWork: lastWork,
  scheduleId: id.nullable(),
  scheduleLine: id.nullable(),
  told: told.nullable(),
});

const reading = z.strictObject({
  ...ofVehicle,
  ...ownId,
  ...{ meter, at: instant, value: figure, unit: readingUnit, total: figure },
  ...{ status: readingStatus, confirmed: z.boolean(), source: readingSource, note: words },
  reasons: z.array(holdReason.omit({ detail: true })),
  replacesId: id.nullable(),
  workRecordId: id.nullable(),
});

const judged = z.strictObject({ verdict, tryLeaf: z.number().optional(), why: z.string() });
const finding = z.strictObject({
  ...{ taskId: id.nullable(), point: point.safeExtend({ id: id.optional() }) },
  ...{ asFound: measurement, asLeft: measurement.optional(), condition: condition.optional() },
  ...{ note: text(2000).optional(), judged, judgedAsLeft: judged.optional() },
});

const workRecord = z.strictObject({
  ...ofVehicle,
  ...ownId,
  ...{ doneAt: instant, doneOn: plainDate, distance: figure.nullable(), hours: figure.nullable() },
  ...{ reading: readingAtWork.nullable(), performedBy, findings: z.array(finding) },
  ...{ parts: workFields.parts, minutes: workFields.minutes, notes: words, inWindow: window },
  ...{ labour: money.nullable(), cost: money.nullable() },
  status: z.enum(["standing", "amended", "void"]),
  revisions: z.array(
    z.strictObject({
      ...{ at: z.number(), what: z.enum(["amended", "void"]), reason: z.string() },
      before: anything.optional(),
    }),
  ),
});

const workTask = z.strictObject({
  workRecordId: id,
  taskId: id,
  title: text(300),
  occurrence: words,
  inWindow: window,
});

const webhookEndpoint = z.strictObject({
  ...marks,
  ...endpointBody.shape,
  secretNumber: z.int().min(1),
  overlapEndsAt: instant.nullable(),
  disabledAt: instant.nullable(),
  disabledWhy: words,
});

const calendarFeed = z.strictObject({
  ...{ ...marks, name: text(200), memberId: id.nullable(), secretNumber: z.int().min(1) },
});

const attachment = z.strictObject({
  ...{ filename: z.string(), contentType: z.string(), content: z.string() },
});

const message = z.strictObject({
  ...marks,
  memberId: id.nullable(),
  endpointId: id.nullable(),
  kind: z.enum(["reminder", "digest", "confirmAddress", "freshLink", "notice", "webhook"]),
  ...{ dedupe: z.string(), content: anything, messageIdHeader: z.string() },
  status: z.enum(["waiting", "sent", "failed", "unknown", "suppressed"]),
  ...{ attempts: z.int().min(0), brokenOff: z.int().min(0) },
  ...{ nextAttemptAt: instant, giveUpAt: instant, sentAt: instant.nullable() },
  ...{ lastAnswer: words, address: words, subject: words, text: words, html: words },
  headers: z.record(z.string(), z.string()).nullable(),
  attachments: z.array(attachment),
});

const reminder = z.strictObject({
  ...ofVehicle,
  ...{ key: z.string(), taskId: id.nullable(), memberId: id, occurrence: z.string() },
  ...{ revision: z.int().min(0), stage: z.enum(["ahead", "due", "overdue", "ask"]) },
  ...{ plannedFor: instant, sentAt: instant.nullable(), messageId: id.nullable() },
  status: z.enum(["planned", "sent", "cancelled", "deferred", "failed"]),
  why: anything,
  deferredUntilOn: plainDate.nullable(),
  deferredUntilDistance: figure.nullable(),
  expectedDay: z.number().nullable(),
  cancelledBy: z.enum(["person", "plan"]).nullable(),
});

const count = z.int().min(0);
const imported = z.strictObject({
  ...marks,
  ...ownId,
  ...{ kind: z.enum(["readings", "vehicles", "work"]), dryRun: z.boolean() },
  status: z.enum(["applied", "refused", "tried"]),
  counts: z.strictObject({
    ...{ recorded: count, held: count, repeated: count, refused: count, reported: count },
  }),
  ...{ digest: z.string(), keyId: id },
});

const importRow = z.strictObject({
  ...{ importId: id, number: count, line: count, outcome: z.enum(["refused", "held", "repeated"]) },
  ...{ column: words, detail: z.string(), resourceId: id.nullable() },
});

const event = z.strictObject({
  ...{ id, type: text(100), vehicleId: id.nullable(), resourceId: id, data: anything, at: instant },
});

/** A row of each kind as it stands in the file of an account: what is stored, by its own names. */
export const ACCOUNT_ROWS: Record<AccountResource, z.ZodObject> = {
  ...{ member, schedule, vehicle, meterChange, layUp, task, reading, workRecord, workTask },
  ...{ webhookEndpoint, calendarFeed, message, reminder, importRow, event, import: imported },
  nextDigest: z.strictObject({ memberId: id, at: instant }),
};
