/**
 * What an account is made of, those that others name before them. Left out are API keys, whose secrets
 * nobody has, what repeated requests were answered, and the imports of whole accounts.
 */
export const ACCOUNT_RESOURCES = [
  "member",
  "schedule",
  "vehicle",
  "meterChange",
  "layUp",
  "task",
  "reading",
  "workRecord",
  "workTask",
  "webhookEndpoint",
  "calendarFeed",
  "message",
  "reminder",
  "nextDigest",
  "import",
  "importRow",
  "event",
] as const;

export type AccountResource = (typeof ACCOUNT_RESOURCES)[number];
