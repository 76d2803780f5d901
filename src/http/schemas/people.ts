import { z } from "zod";
import {
  distanceUnit,
  email,
  externalId,
  id,
  locale,
  pageQuery,
  text,
  updatedAfter,
} from "./common.ts";
import { clockTime, instant, timeZone } from "./time.ts";

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
  role: role.optional(),
  externalId: externalId.optional(),
  updatedAfter,
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
    expiresAt: instant.nullable().default(null).meta({
      description: "By the clock on the wall, in a sandbox too.",
    }),
  })
  .meta({ id: "ApiKeyBody" });

export const shortLivedKeyBody = z
  .strictObject({
    name: text(200).default("Short-lived").meta({ description: "What it is for." }),
    scopes: z
      .array(z.enum(["read", "readings:write", "write"]))
      .min(1)
      .max(3)
      .refine((scopes) => new Set(scopes).size === scopes.length, "must name each scope once"),
    memberId: id.nullable().default(null).meta({
      description: "The key then has that member's rights; null: bound as the key that makes it.",
    }),
    vehicleIds: z.array(id).min(1).max(100).nullable().default(null).meta({
      description: "The only vehicles that the key sees; null: those of the key that makes it.",
    }),
    minutes: z.int().min(1).max(720).default(60).meta({ description: "How long it works." }),
  })
  .meta({ id: "ShortLivedKeyBody" });

export const keyList = pageQuery.extend({
  memberId: id.optional(),
  updatedAfter,
  shortLived: z
    .string()
    .regex(/^(?:true|false)$/, "must be true or false")
    .default("false")
    .transform((value) => value === "true")
    .meta({
      override: { type: "boolean", default: false },
      description: "Lists the keys that other keys made, and no others.",
    }),
});

export const apiKey = z
  .strictObject({
    ...stored,
    name: z.string(),
    scopes: z.array(scope),
    memberId: id.nullable(),
    vehicleIds: z.array(id).nullable(),
    parentId: id.nullable().meta({
      description: "The key that made this one, which is short-lived; null for any other.",
    }),
    expiresAt: instant.nullable(),
    revokedAt: instant.nullable(),
    lastUsedAt: instant.nullable(),
  })
  .meta({ id: "ApiKey", description: "A key, without its secret." });

export const keyOnce = z
  .string()
  .optional()
  .meta({ description: "The key itself, shown once: absent from a repeat." });

export const newApiKey = z
  .strictObject({
    id,
    key: keyOnce,
    scopes: z.array(scope),
  })
  .meta({ id: "NewApiKey" });

/** The origin of a web page (RFC 6454): encrypted, or of the developer's own machine. */
const allowedOrigin = z
  .string()
  .max(300)
  .refine(
    (text) => !text.includes("*"),
    "must name one origin: with a * every page could call, or pages of hosts that others own",
  )
  .refine(
    (text) => text.includes("*") || isOrigin(text),
    "must be https:// and a host, or http://localhost or http://127.0.0.1, with a port where it is not the usual one, and no path: https://dash.example.org",
  )
  .meta({ example: "https://dash.example.org" });

function isOrigin(text: string): boolean {
  if (!URL.canParse(text)) return false;
  const { protocol, hostname, origin } = new URL(text);
  const own = hostname === "localhost" || hostname === "127.0.0.1";
  return origin === text && (protocol === "https:" || (protocol === "http:" && own));
}

export const accountChange = z
  .strictObject({
    name: text(200),
    allowedOrigins: z
      .array(allowedOrigin)
      .max(20)
      .refine((origins) => new Set(origins).size === origins.length, "must name each origin once")
      .meta({ description: "Origins of the web pages that may call with keys of this account." }),
  })
  .meta({ id: "AccountChange" });

export const account = z
  .strictObject({
    ...stored,
    name: z.string(),
    allowedOrigins: z.array(z.string()).meta({
      description: "Origins of the web pages that may call with its keys, in alphabetical order.",
    }),
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
    clock: clockTime
      .optional()
      .meta({ description: "Where a sandbox's time begins; now, if not told." }),
  })
  .refine(({ sandbox, clock }) => sandbox || clock === undefined, {
    path: ["clock"],
    message: "must be left out unless sandbox is true",
  })
  .meta({ id: "AccountBody" });
