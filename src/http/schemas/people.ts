import { z } from "zod";
import { distanceUnit, email, externalId, id, locale, pageQuery, text } from "./common.ts";
import { instant, timeZone } from "./time.ts";

export const stored = { id, createdAt: instant, updatedAt: instant };

const weekday = z.int().min(1).max(7);

export const reminderPreferences = z
  .strictObject({
    leadDays: z.int().min(0).max(365).default(21),
    leadDistance: z.number().positive().max(100_000).nullable().default(null).meta({
      description: "In the member's unit; a lead in distance beside the one in days.",
    }),
    sendingHour: z.int().min(0).max(23).default(8).meta({
      description: "Hour of the member's day at which reminders go out.",
    }),
    quietDays: z
      .array(weekday)
      .max(6, "must leave one day of the week")
      .refine((days) => new Set(days).size === days.length, "must name each day once")
      .default([])
      .meta({ description: "Days without mail, by ISO 8601: 1 is Monday." }),
    askForReadings: z.boolean().default(true),
    digest: z.enum(["none", "weekly", "monthly"]).default("none").meta({
      description:
        "A digest of what is overdue, due and ahead, on the first day of the week or month that is not quiet: over all machines for an owner or manager, else over those that the member looks after. One that would say nothing is not sent.",
    }),
  })
  .meta({ id: "ReminderPreferences", description: "How a member is reminded." });

export const role = z.enum(["owner", "manager", "mechanic", "rider"]);

const person = {
  name: text(200).meta({ example: "Robin of the harbour co-operative" }),
  email,
  locale: locale.default("en").meta({
    description:
      "Language and region of mail and pages: English, German, Spanish and French; any other is told in English.",
  }),
  timeZone: timeZone.default("UTC"),
  unit: distanceUnit.default("km"),
  reminders: reminderPreferences.prefault({}),
  externalId: externalId.nullable().default(null),
};

/** The owner of a new account: the role is given. */
export const ownerBody = z.strictObject({ ...person, role: z.literal("owner").default("owner") });

export const memberBody = z
  .strictObject({ ...person, role: role.default("rider") })
  .meta({ id: "MemberBody" });

export const member = z
  .strictObject({
    ...stored,
    name: z.string(),
    email: z.string(),
    emailConfirmed: z.boolean().meta({ description: "Whether reminders may go to the address." }),
    emailSuppressed: z.string().nullable().meta({
      description: "Why nothing is sent to the address any more: the mail server's own words.",
    }),
    unsubscribedAt: instant.nullable(),
    role,
    locale: z.string(),
    timeZone: z.string(),
    unit: distanceUnit,
    reminders: reminderPreferences,
    externalId: z.string().nullable(),
  })
  .meta({ id: "Member", description: "A person in an account." });

export const memberList = pageQuery.extend({
  externalId: externalId.optional(),
  updatedAfter: instant.optional(),
});

export const scope = z.enum(["read", "readings:write", "write", "admin"]);

export const keyBody = z
  .strictObject({
    name: text(200),
    scopes: z
      .array(scope)
      .min(1)
      .max(4)
      .refine((scopes) => new Set(scopes).size === scopes.length, "must name each scope once"),
    memberId: id.nullable().default(null).meta({
      description: "The key then has that member's rights.",
    }),
    vehicleIds: z.array(id).min(1).max(100).nullable().default(null).meta({
      description: "The only vehicles that the key sees; null: all.",
    }),
    expiresAt: instant.nullable().default(null),
  })
  .meta({ id: "ApiKeyBody" });

export const apiKey = z
  .strictObject({
    ...stored,
    name: z.string(),
    scopes: z.array(scope),
    memberId: id.nullable(),
    vehicleIds: z.array(id).nullable(),
    expiresAt: instant.nullable(),
    revokedAt: instant.nullable(),
    lastUsedAt: instant.nullable(),
  })
  .meta({ id: "ApiKey", description: "A key, without its secret." });

export const newApiKey = z
  .strictObject({
    id,
    key: z.string().meta({ description: "Shown once." }),
    scopes: z.array(scope),
  })
  .meta({ id: "NewApiKey" });

export const account = z
  .strictObject({
    ...stored,
    name: z.string(),
    sandbox: z.boolean(),
    clock: instant
      .nullable()
      .meta({ description: "A sandbox's own time; null in other accounts." }),
  })
  .meta({ id: "Account" });

export const accountBody = z
  .strictObject({
    name: text(200),
    owner: ownerBody,
    sandbox: z.boolean().default(false),
    clock: instant
      .optional()
      .meta({ description: "Where a sandbox's time begins; now, if not told." }),
  })
  .refine(({ sandbox, clock }) => sandbox || clock === undefined, {
    path: ["clock"],
    message: "must be left out unless sandbox is true",
  })
  .meta({ id: "AccountBody" });
